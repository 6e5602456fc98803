using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Triage;

/// <summary>One published version of the words and rules that read patients' texts. Immutable; safe to share.</summary>
/// <remarks>It flags for a person; it never diagnoses or clears. Method: common practice, no source; thresholds need clinical sign-off.</remarks>
public sealed class TriageLexicon
{
    /// <summary>Atoms the reader itself needs: every lexicon must name them.</summary>
    public static IReadOnlyList<string> NeededAtoms { get; } =
        ["deny", "or", "but", "worse", "plea", "body", "fine", "topic", "plain", "ask", "photo", "hypothetical", "normal", "admin"];

    private static readonly string[] NumberAtoms = ["#fever", "#hot", "#painful", "#mid"];
    private readonly AtomIndex index;
    private readonly HashSet<string> signs;

    /// <summary>Makes a lexicon.</summary>
    /// <param name="version">Which file and version.</param>
    /// <param name="atoms">Forms by atom: a word, a stem ending in *, or words joined by _; lower case, no accents.</param>
    /// <param name="concepts">What may be told.</param>
    /// <exception cref="ArgumentException">A needed atom is missing or a frame names an unknown one.</exception>
    public TriageLexicon(
        ContentVersion version, IReadOnlyDictionary<string, IReadOnlyList<string>> atoms, IReadOnlyList<TriageConcept> concepts)
    {
        Version = version;
        Concepts = concepts;
        var unknown = NeededAtoms.Concat(concepts.SelectMany(c => c.When).SelectMany(f => f.Atoms)).FirstOrDefault(a => !IsAtom(a, atoms));
        if (unknown is not null) throw new ArgumentException($"No atom is called {unknown}.", nameof(atoms));
        index = new(atoms);
        signs = [.. concepts.SelectMany(c => c.When).SelectMany(f => f.Atoms)];
    }

    /// <summary>Which file and version.</summary>
    public ContentVersion Version { get; }

    /// <summary>What may be told.</summary>
    public IReadOnlyList<TriageConcept> Concepts { get; }

    /// <summary>Whether a name is an atom of the file or one of the reader's number atoms.</summary>
    public static bool IsAtom(string name, IReadOnlyDictionary<string, IReadOnlyList<string>> atoms) =>
        atoms.ContainsKey(name) || NumberAtoms.Contains(name);

    /// <summary>Reads one text. Total: every string, also a broken one, gets a reading; doubt raises.</summary>
    /// <param name="text">The raw text as it came.</param>
    /// <param name="context">What is known beside the words.</param>
    /// <returns>The join of clues and floors; spans are UTF-16 indices into <paramref name="text"/>.</returns>
    public Reading Read(string text, ReadingContext context)
    {
        var tokens = TextTokens.Of(text);
        var cut = tokens.Count > 400;        // 1,600 characters are about 300 words; a longer text is read in part, a person reads the rest
        if (cut) tokens = [.. tokens.Take(200), .. tokens.Skip(tokens.Count - 200)];
        var found = index.Find(tokens);
        for (var i = 0; i < tokens.Count; i++) found[i].AddRange(Numbers(tokens, i).Select(a => (a, i)));
        var denied = Denied(tokens, found);
        var clues = new List<Clue>();
        var classes = new Dictionary<string, Clue>();
        foreach (var concept in Concepts)
        {
            if (ClueOf(concept, tokens, found, denied, context) is not { } clue) continue;
            clues.Add(clue);
            if (concept.Class.Length > 0 && clue.Status != "negated") classes.TryAdd(concept.Class, clue);
        }
        if (classes.Count >= 2 && IsFiller(context))
        {
            var tier = (context.Day ?? 0) <= 14 ? Tier.Emergency : Tier.Urgent;
            clues.Add(new("vascular", tier, classes.Values.Min(c => c.Start), classes.Values.Max(c => c.End), "present", classes.Values.First().SourceId));
        }
        var floors = new List<string>();
        var floor = TriageFloors.Of(text, tokens, found, clues, context, cut, floors);
        var heaviest = clues.Select(c => c.Tier).Append(floor).Max();
        return new(Version, heaviest, [.. clues.OrderByDescending(c => c.Tier).ThenBy(c => c.Start).ThenBy(c => c.ConceptId, StringComparer.Ordinal)], floors, Desk(heaviest, found, clues));
    }

    private static string? Desk(Tier heaviest, List<(string Atom, int Last)>[] found, List<Clue> clues)
    {
        bool Has(string atom) => found.Any(f => f.Any(a => a.Atom == atom));
        if (heaviest > Tier.SameDay || clues.Count > 0) return null;
        if (Has("admin")) return "admin";
        return Has("body") || Has("topic") || Has("plea") || Has("normal") || Has("photo") || found.Length < 3 ? null : "unrelated";
    }

    internal static bool IsFiller(ReadingContext context) =>
        context.Products.Count == 0 || context.Products.Any(p => p != ProductClass.BotulinumToxinTypeA);

    private static Clue? ClueOf(
        TriageConcept concept, IReadOnlyList<TextToken> tokens, List<(string Atom, int Last)>[] found, bool[] denied, ReadingContext context)
    {
        (int First, int Last)? best = null;
        var negated = true;
        foreach (var frame in concept.When)
        {
            for (var i = 0; i < tokens.Count && negated; i++)
            {
                if (frame.MaxWords > 0 && Stretch(tokens, i) > frame.MaxWords) continue;
                if (Match(frame, i, tokens, found) is not { } match) continue;
                var isDenied = match.Used.Any(at => denied[at]);
                if (best is null || !isDenied) best = (match.First, match.Last);
                negated = isDenied;
            }
        }
        if (best is not { } span) return null;
        var tier = TierOf(concept, context);
        if (negated) tier = concept.MayDrop && tier < Tier.Emergency ? Tier.Routine : tier > Tier.SameDay ? Tier.SameDay : tier;
        return new(concept.Id, tier, tokens[span.First].Start, tokens[span.Last].End, negated ? "negated" : "present", concept.SourceId);
    }

    private static int Stretch(IReadOnlyList<TextToken> tokens, int at)
    {
        var from = at;
        while (from > 0 && !tokens[from].BreakBefore) from--;
        var to = at + 1;
        while (to < tokens.Count && !tokens[to].BreakBefore) to++;
        return to - from;
    }

    private static (int First, int Last, List<int> Used)? Match(
        TriageFrame frame, int at, IReadOnlyList<TextToken> tokens, List<(string Atom, int Last)>[] found)
    {
        var used = new List<int>();
        var first = at;
        var last = at;
        foreach (var (atom, k) in frame.Atoms.Select((a, k) => (a, k)))
        {
            var here = -1;
            for (var i = 0; i < tokens.Count; i++)
            {
                if (k == 0 ? i != at : used.Contains(i) || Math.Abs(tokens[i].Place - tokens[at].Place) > frame.Within) continue;
                if (found[i].Any(f => f.Atom == atom) && (here < 0 || Math.Abs(i - at) < Math.Abs(here - at))) here = i;
            }
            if (here < 0) return null;
            used.Add(here);
            first = Math.Min(first, here);
            last = Math.Max(last, found[here].Where(f => f.Atom == atom).Max(f => f.Last));
        }
        return (first, last, used);
    }

    private static Tier TierOf(TriageConcept concept, ReadingContext context)
    {
        var day = Math.Max(0, context.Day ?? 0);
        IEnumerable<bool> fillers = context.Products.Count == 0 ? [true] : context.Products.Select(p => p != ProductClass.BotulinumToxinTypeA);
        return fillers
            .Select(filler => concept.Tiers.FirstOrDefault(t => day >= t.FromDay && day <= t.ToDay && (t.Filler is null || t.Filler == filler))?.Tier ?? Tier.SameDay)
            .Max();
    }

    // Only an exact "no" or the like just before, up to the first sign, or on through "or": doubt never denies.
    private bool[] Denied(IReadOnlyList<TextToken> tokens, List<(string Atom, int Last)>[] found)
    {
        var denied = new bool[tokens.Count];
        var inPhrase = new bool[tokens.Count];
        for (var i = 0; i < tokens.Count; i++)
            foreach (var (atom, last) in found[i])
                if (last > i && signs.Contains(atom))
                    for (var k = i; k <= last; k++) inPhrase[k] = true;
        for (var i = 0; i < tokens.Count; i++)
        {
            if (inPhrase[i] || !found[i].Any(f => f.Atom == "deny")) continue;
            var left = 3;
            var met = false;
            for (var k = i + 1; k < tokens.Count && left > 0; k++, left--)
            {
                if (tokens[k].BreakBefore || found[k].Any(f => f.Atom == "but")) break;
                if (found[k].Any(f => f.Atom == "or")) { left = 4; met = false; continue; }
                var sign = found[k].Any(f => signs.Contains(f.Atom) && f.Last == k);
                if (met && !sign) break;
                if (met) { denied[k] = !tokens[k].BreakBefore && k == i + 2; break; }
                denied[k] = sign;
                met = sign;
            }
        }
        return denied;
    }

    private static IEnumerable<string> Numbers(IReadOnlyList<TextToken> tokens, int i)
    {
        if (!tokens[i].IsNumber) yield break;
        var parts = tokens[i].Form.Split('/');
        if (!decimal.TryParse(parts[0], System.Globalization.NumberStyles.AllowDecimalPoint, System.Globalization.CultureInfo.InvariantCulture, out var value)) yield break;
        if (value is (>= 38m and <= 43m) or (>= 100.4m and <= 109m)) yield return "#fever";
        if (value is (>= 39.5m and <= 43m) or (>= 103m and <= 109m)) yield return "#hot";
        var ofTen = parts is [_, "10"] || (i + 3 < tokens.Count && tokens[i + 1].Form == "out" && tokens[i + 3].Form == "10")
            || (i + 2 < tokens.Count && tokens[i + 1].Form is "sobre" or "de" && tokens[i + 2].Form == "10");
        var rose = value is <= 10 && tokens.Take(i).Any(t => t.IsNumber && decimal.TryParse(t.Form, System.Globalization.CultureInfo.InvariantCulture, out var was) && was < value)
            && tokens.Any(t => t.Form is "now" or "ahora");
        if ((ofTen && value is >= 7 and <= 10) || rose) yield return "#painful";
        else if (ofTen && value >= 4) yield return "#mid";
    }
}
