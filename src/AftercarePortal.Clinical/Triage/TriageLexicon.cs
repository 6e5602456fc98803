using System.Buffers;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Triage;

/// <summary>One published version of the words and rules that read patients' texts. Immutable; safe to share.</summary>
/// <remarks>It flags for a person; it never diagnoses or clears. Method: common practice, no source; thresholds need clinical sign-off.</remarks>
public sealed class TriageLexicon
{
    /// <summary>Id of the clue that two signs of different vascular classes together make.</summary>
    public const string VascularId = "vascular";

    private const int LongestText = 6_000;
    private const int LongestLead = 3;
    private readonly IReadOnlyDictionary<string, string> plainNames;
    private readonly ReaderAtoms core;
    private readonly TextCutter cutter;
    private readonly Phrases phrases;
    private readonly FrameSearch[][][] frames;      // by concept, then together those that begin with the same atom
    private readonly AtomSet[] begins;              // by concept: what any of its frames begins with
    private readonly AtomSet signs;
    private readonly AtomSet lowering;             // what says that something is over or well
    private readonly Predicate<Clue> supports;

    /// <summary>Makes a lexicon.</summary>
    /// <param name="version">Which file and version.</param>
    /// <param name="atoms">Forms by atom: a word, a stem ending in *, or words joined by _; lower case, no accents.</param>
    /// <param name="concepts">What may be told.</param>
    /// <param name="shorthand">What short forms stand for, for example <c>u</c> for <c>you</c>; words joined by _.</param>
    /// <param name="common">Everyday words of the languages read.</param>
    /// <param name="plainNames">What staff read for a concept, by id.</param>
    /// <exception cref="ArgumentException">A needed atom is missing, a frame names an unknown one, or there are more than 512.</exception>
    public TriageLexicon(
        ContentVersion version, IReadOnlyDictionary<string, IReadOnlyList<string>> atoms, IReadOnlyList<TriageConcept> concepts,
        IReadOnlyDictionary<string, string> shorthand, IEnumerable<string> common, IReadOnlyDictionary<string, string>? plainNames = null)
    {
        this.plainNames = plainNames ?? new Dictionary<string, string>();
        Version = version;
        Concepts = concepts;
        var silent = concepts.Where(c => c.Supports).Select(c => c.Id).ToHashSet(StringComparer.Ordinal);
        supports = clue => silent.Contains(clue.ConceptId);
        string[] names = [.. atoms.Keys.Concat(ReaderAtoms.OfNumbers).Distinct().Order(StringComparer.Ordinal)];
        if (names.Length > AtomSet.Most) throw new ArgumentException($"At most {AtomSet.Most} atoms can be told apart.", nameof(atoms));
        var numbers = names.Select((name, i) => (name, i)).ToDictionary(n => n.name, n => n.i);
        int NumberOf(string name) => numbers.TryGetValue(name, out var n) ? n : throw new ArgumentException($"No atom is called {name}.", nameof(atoms));
        core = new(NumberOf);
        frames = [.. concepts.Select(c => c.When.Select(f => new FrameSearch(f, NumberOf, [core.But, core.Normal], core.Danger, [core.Or, core.And]))
            .GroupBy(f => f.First).Select(g => g.ToArray()).ToArray())];
        begins = new AtomSet[frames.Length];
        for (var c = 0; c < frames.Length; c++)
            foreach (var together in frames[c]) begins[c].Add(together[0].First);
        foreach (var atom in concepts.SelectMany(c => c.When).SelectMany(f => f.Atoms)) signs.Add(NumberOf(atom));
        foreach (var atom in (int[])[core.Resolved, core.Fine]) lowering.Add(atom);
        var exactOnly = default(AtomSet);
        foreach (var atom in (int[])[core.Deny, core.Or, core.Fine, core.Courtesy, core.DenyFar, core.DenyAfter, core.WhatIf, core.LongAgo, core.Resolved, core.Idiom, core.AllFine]) exactOnly.Add(atom);
        var forms = atoms.SelectMany(a => a.Value.Select(form => (Form: form, Atom: NumberOf(a.Key)))).ToArray();
        (string[] Words, int Atom)[] several = [.. forms.Where(f => f.Form.Contains('_')).SelectMany(f => Phrase(f.Form, f.Atom, exactOnly))];
        var words = new WordList(forms.Where(f => !f.Form.Contains('_')), several.SelectMany(p => p.Words).Where(w => w != Phrases.Gap), common, exactOnly);
        phrases = new(several, words, exactOnly, signs, core.Small);
        var notNouns = default(AtomSet);
        foreach (var atom in (int[])[core.Link, core.Small, core.Plain, core.Other]) notNouns.Add(atom);
        cutter = new(words, shorthand.ToDictionary(s => s.Key, s => s.Value.Split('_')), core.Link, notNouns);
    }

    /// <summary>Atoms the reader itself needs: every lexicon must name them.</summary>
    public static IReadOnlyList<string> NeededAtoms => ReaderAtoms.Needed;

    /// <summary>Which file and version.</summary>
    public ContentVersion Version { get; }

    /// <summary>What may be told.</summary>
    public IReadOnlyList<TriageConcept> Concepts { get; }

    /// <summary>What was said, in words for staff; for a concept of an earlier version the words of its id.</summary>
    public string NameOf(string conceptId) => plainNames.TryGetValue(conceptId, out var name) ? name : conceptId.Replace('-', ' ');

    /// <summary>Whether a name is an atom of the file or one of the reader's number atoms.</summary>
    public static bool IsAtom(string name, IReadOnlyDictionary<string, IReadOnlyList<string>> atoms) =>
        atoms.ContainsKey(name) || ReaderAtoms.OfNumbers.Contains(name);

    /// <summary>Reads one text. Total: every string, also a broken one, gets a reading; doubt raises. Linear in its length.</summary>
    /// <param name="text">The raw text as it came.</param>
    /// <param name="context">What is known beside the words.</param>
    /// <returns>The join of clues and floors; spans are UTF-16 indices into <paramref name="text"/>.</returns>
    public Reading Read(string text, ReadingContext context)
    {
        var rented = ArrayPool<TextToken>.Shared.Rent(TextCutter.MostTokens);
        try
        {
            var cut = text.Length > LongestText;        // far beyond any text message: its beginning and end are read, a person reads the rest
            var count = cutter.Cut(text, 0, cut ? LongestText * 2 / 3 : text.Length, rented, 0);
            if (cut) count = cutter.Cut(text, text.Length - (LongestText / 3), text.Length, rented, count);
            return Read(text, rented.AsSpan(0, count), context, cut || count >= TextCutter.MostTokens - 4);
        }
        finally
        {
            ArrayPool<TextToken>.Shared.Return(rented);
        }
    }

    /// <summary>Reads a text in the light of earlier ones of the same days: parts of one message, the same worry again, getting worse. They only raise.</summary>
    /// <param name="text">The raw text as it came.</param>
    /// <param name="earlier">Texts since a person last closed the concern, in any order; older than 48 hours counts for nothing.</param>
    /// <param name="context">What is known beside the words.</param>
    /// <returns>Never below <see cref="Read(string, ReadingContext)"/> of the same text; spans are indices into <paramref name="text"/>.</returns>
    public Reading ReadTogether(string text, IReadOnlyList<EarlierText> earlier, ReadingContext context) =>
        earlier.Count == 0 ? Read(text, context) : Conversation.Read(this, text, earlier, context);

    /// <summary>Whether a denial reaches some words of a sentence by the published method (NegEx, Chapman et al. 2001). It alone lowers nothing.</summary>
    /// <param name="text">A sentence.</param>
    /// <param name="start">First UTF-16 index of the words.</param>
    /// <param name="end">One past the last index.</param>
    public bool DenialReaches(string text, int start, int end)
    {
        var tokens = new TextToken[TextCutter.MostTokens];
        var count = cutter.Cut(text, 0, text.Length, tokens, 0);
        phrases.Mark(tokens.AsSpan(0, count), text);
        var first = Array.FindIndex(tokens, 0, count, t => t.End > start);
        var last = Array.FindLastIndex(tokens, count - 1, count, t => t.Start < end);
        return first >= 0 && last >= first && Scopes.DenialReaches(tokens.AsSpan(0, count), first, last, core);
    }

    private Reading Read(string text, Span<TextToken> tokens, ReadingContext context, bool cut)
    {
        phrases.Mark(tokens, text);
        Mask(tokens);
        FineLists.Mark(tokens, core, signs);
        NumberSigns.Mark(tokens, text, core);
        Scopes.MarkDenied(tokens, core, signs);
        var present = default(AtomSet);
        foreach (ref readonly var token in tokens) present.Add(token.Atoms);
        var guessed = IsMostlyGuessed(tokens);
        var clues = new List<Clue>();
        for (var c = 0; c < frames.Length; c++)
            if (present.Meets(begins[c]) && ClueOf(c, tokens, present, context, guessed) is { } clue) clues.Add(clue);
        if (Vascular(clues, context) is { } both) clues.Add(both);
        clues.RemoveAll(supports);
        var floors = new List<string>();
        var tier = new TriageFloors(tokens, present, clues, context, core, floors).Of(text, cut);
        foreach (var clue in clues) tier = clue.Tier > tier ? clue.Tier : tier;
        clues.Sort(static (a, b) => a.Tier != b.Tier ? b.Tier.CompareTo(a.Tier) : a.Start != b.Start ? a.Start.CompareTo(b.Start) : string.CompareOrdinal(a.ConceptId, b.ConceptId));
        return new(Version, tier, clues, floors, Desk(tier, present, clues, tokens.Length));
    }

    // What can lower stays as it is written.
    private static IEnumerable<(string[] Words, int Atom)> Phrase(string form, int atom, AtomSet exactOnly)
    {
        var words = form.Split('_', StringSplitOptions.RemoveEmptyEntries);
        return exactOnly.Has(atom) ? [(words, atom)] : LongForms.Of(words).Select(written => (written, atom));
    }

    // Two different signs of a blocked vessel weigh more than either.
    private Clue? Vascular(List<Clue> clues, ReadingContext context)
    {
        Clue? first = null;
        var (from, to, several, loud) = (int.MaxValue, 0, false, false);
        foreach (var clue in clues)
        {
            if (ClassOf(clue.ConceptId) is not { Length: > 0 } here || clue.Status is "negated" or "hypothetical" or "historical") continue;
            several |= first is not null && ClassOf(first.ConceptId) != here;
            first ??= clue;
            loud |= !supports(clue);
            (from, to) = (Math.Min(from, clue.Start), Math.Max(to, clue.End));
        }
        return several && loud && context.MayBeFiller ? new(VascularId, context.FillerDay <= 14 ? Tier.Emergency : Tier.Urgent, from, to, "present", first!.SourceId) : null;
    }

    internal string ClassOf(string conceptId)
    {
        for (var i = 0; i < Concepts.Count; i++)
            if (Concepts[i].Id == conceptId) return Concepts[i].Class;
        return "";
    }

    private void Mask(Span<TextToken> tokens)
    {
        var plain = default(AtomSet);
        plain.Add(core.Plain);
        for (var i = 0; i < tokens.Length; i++)
        {
            if (!tokens[i].Atoms.Has(core.Idiom)) continue;
            var end = i + tokens[i].PhraseLength;
            for (var k = Math.Max(0, i - LongestLead); k < i; k++)        // "had a stroke of luck": what ends with the first word of an idiom goes with it
                if (tokens[k].PhraseLength > 0 && k + tokens[k].PhraseLength == i && !tokens[k].Atoms.Has(core.Idiom))
                    (tokens[k].Atoms, tokens[k].PhraseLength, tokens[k].InSign) = (cutter.AtomsOf(tokens[k].Word), 0, false);
            for (var k = i; k <= end; k++) (tokens[k].Atoms, tokens[k].Known) = (plain, true);
        }
        for (var i = 0; i + 1 < tokens.Length; i++)        // "white dress", "vestido blanco": the colour is the dress's; "paper white" is a comparison
        {
            if (tokens[i + 1].Break) continue;
            if ((tokens[i + 1].Atoms.Has(core.Thing) || tokens[i + 1].Atoms.Has(core.Cosa)) && tokens[i].Atoms.Has(core.Adjective)) tokens[i].Atoms = tokens[i].Atoms.Without(signs);
            else if (tokens[i].Atoms.Has(core.Cosa) && tokens[i + 1].Atoms.Has(core.Adjective)) tokens[i + 1].Atoms = tokens[i + 1].Atoms.Without(signs);
        }
        for (var i = 0; i < tokens.Length; i++)
        {
            if (tokens[i].Atoms.Has(core.BruiseNoun)) MaskHue(tokens, i);
            else if (tokens[i].Atoms.Has(core.Becoming) && Becomes(tokens, i))
                for (var k = Math.Max(0, i - LongestLead); k <= i; k++)        // also "has gone", which ends here
                    if (k == i || k + tokens[k].PhraseLength == i) tokens[k].Atoms = tokens[k].Atoms.Without(lowering);
        }
    }

    // "black and blue bruise", "moretón morado": what colour a bruise has is no sign of its own; white, grey or a pattern still is.
    private void MaskHue(Span<TextToken> tokens, int noun)
    {
        for (var i = noun - 1; i >= 0 && i >= noun - 3 && !tokens[i + 1].Break && (tokens[i].Atoms.Has(core.BruiseHue) || tokens[i].Atoms.Has(core.And)); i--)
            tokens[i].Atoms = tokens[i].Atoms.Without(signs);
        if (noun + 1 < tokens.Length && !tokens[noun + 1].Break && tokens[noun].Atoms.Has(core.Moreton) && tokens[noun + 1].Atoms.Has(core.BruiseHue))
            tokens[noun + 1].Atoms = tokens[noun + 1].Atoms.Without(signs);
    }

    // "has gone white", "se ha puesto dura": a verb of becoming, so nothing is over or fine.
    private bool Becomes(ReadOnlySpan<TextToken> tokens, int verb)
    {
        for (var i = verb + 1; i < tokens.Length && i <= verb + 3 && !tokens[i].Break; i++)
        {
            if (tokens[i].Atoms.Has(core.Quality)) return true;
            if (!tokens[i].Atoms.Has(core.Small)) return false;
        }
        return false;
    }

    // Five or more words, and a third of all, are no known words: what looks like a slip of a sign may well be another language.
    private static bool IsMostlyGuessed(ReadOnlySpan<TextToken> tokens)
    {
        var (letters, unknown) = (0, 0);
        foreach (ref readonly var token in tokens)
        {
            if (token.IsNumber || token.Picture || token.End - token.Start < 2) continue;
            letters++;
            if (!token.Known && token.End - token.Start >= 3) unknown++;
        }
        return unknown >= 5 && unknown * 3 >= letters;
    }

    private Clue? ClueOf(int c, ReadOnlySpan<TextToken> tokens, in AtomSet present, ReadingContext context, bool guessed)
    {
        Clue? best = null;
        var full = Concepts[c].TierIn(context);
        Span<int> used = stackalloc int[TriageFrame.MostAtoms];
        foreach (var together in frames[c])
        {
            if (!present.Has(together[0].First)) continue;
            foreach (var frame in together)
            {
                if (!frame.MayHold(present)) continue;
                for (var i = 0; i < tokens.Length; i++)
                {
                    if (!tokens[i].Atoms.Has(frame.First) || !frame.HoldsAt(tokens, i, used)) continue;
                    var (first, last, denied, spelt, slips) = (i, i, false, true, 0);
                    foreach (var at in used[..frame.Count])
                    {
                        spelt &= tokens[at].Known && tokens[at].Meant < 0;
                        slips += tokens[at].ShortSlip && tokens[at].PhraseLength == 0 ? 1 : 0;
                        (first, last) = (Math.Min(first, at), Math.Max(last, at + tokens[at].PhraseLength));
                        denied |= tokens[at].Denied || (tokens[at].DeniedPhrase && Concepts[c].MayDrop);
                    }
                    if (((guessed || Concepts[c].RightlySpelt) && !spelt) || (slips > 1 && slips == frame.Count)) continue;        // two short words that are each a slip of another are chance
                    var status = denied ? "negated" : Scopes.Status(tokens, first, last, core);
                    var tier = Concepts[c].Lowered(full, status, context);
                    if (best is null || tier > best.Tier || (tier == best.Tier && best.Status == "negated" && status != "negated")) best = new(Concepts[c].Id, tier, tokens[first].Start, tokens[last].End, status, Concepts[c].SourceId);
                    if (tier == full && status != "negated") return best;
                }
            }
        }
        return best;
    }

    private string? Desk(Tier tier, in AtomSet present, List<Clue> clues, int words)
    {
        if (tier > Tier.SameDay || clues.Count > 0) return null;
        if (present.Has(core.Admin)) return "admin";
        return words < 3 || present.Has(core.Body) || present.Has(core.Topic) || present.Has(core.Plea) || present.Has(core.Normal) || present.Has(core.Photo) ? null : "unrelated";
    }
}
