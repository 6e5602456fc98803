namespace AftercarePortal.Clinical.Triage;

/// <summary>Says what a folded word stands for: known forms, stems, stretched letters, digits for letters, slips of the finger.</summary>
internal sealed class WordList
{
    private const int LongestWord = 24;
    private const string DigitLetters = "oizeasbtbg";       // 0 1 2 3 4 5 6 7 8 9 as people write them for letters
    private static readonly string[] Endings = ["s", "ed", "d", "ing", "en", "er", "y", "a", "o", "as", "os", "ado", "ada", "ando", "arse"];
    private readonly Dictionary<string, int> ids = [];
    private readonly Dictionary<string, int>.AlternateLookup<ReadOnlySpan<char>> byText;
    private readonly Dictionary<string, AtomSet> stems = [];
    private readonly Dictionary<string, AtomSet>.AlternateLookup<ReadOnlySpan<char>> stemByText;
    private readonly List<AtomSet> atoms = [];
    private readonly List<bool> inLexicon = [];
    private readonly List<string> texts = [];
    private readonly Spelling spelling;
    private readonly AtomSet exactOnly;

    /// <summary>Makes the list.</summary>
    /// <param name="forms">Forms with their atom: words, or stems ending in *.</param>
    /// <param name="phraseWords">Words of phrases, which need not stand for anything alone.</param>
    /// <param name="common">Everyday words that stand for nothing here.</param>
    /// <param name="exactOnly">Atoms a slip never gives: those that can lower.</param>
    internal WordList(IEnumerable<(string Form, int Atom)> forms, IEnumerable<string> phraseWords, IEnumerable<string> common, AtomSet exactOnly)
    {
        this.exactOnly = exactOnly;
        byText = ids.GetAlternateLookup<ReadOnlySpan<char>>();
        stemByText = stems.GetAlternateLookup<ReadOnlySpan<char>>();
        var bareStems = new HashSet<string>();
        var plainForms = new List<(int Id, int Atom)>();
        foreach (var (form, atom) in forms)
        {
            if (form.EndsWith('*'))
            {
                var set = stems.GetValueOrDefault(form[..^1]);
                set.Add(atom);
                stems[form[..^1]] = set;
                bareStems.Add(form[..^1]);
                Add(form[..^1], true);
            }
            else plainForms.Add((Add(form, true), atom));
        }
        foreach (var word in phraseWords) Add(word, true);
        foreach (var word in common) Add(word, false);
        foreach (var stem in bareStems)                      // inflections, so that a slip in one is still found
            foreach (var ending in Endings) Add(stem + ending, true);
        foreach (var (word, id) in ids) atoms[id] = OfStems(word);
        foreach (var (id, atom) in plainForms)
        {
            var set = atoms[id];
            set.Add(atom);
            atoms[id] = set;
        }
        // Everyday words are filed too, so that a slip of one is not taken for a sign; two slips only lead to words of the lexicon.
        spelling = new([.. ids.Where(w => (w.Key.Length >= 4 || (w.Key.Length == 3 && !atoms[w.Value].IsEmpty)) && (!bareStems.Contains(w.Key) || w.Key.Length >= 6)).Select(w => (w.Key, w.Value, inLexicon[w.Value]))]);
    }

    internal int Count => ids.Count;

    /// <summary>The folded word with a number.</summary>
    internal string Text(int id) => texts[id];

    internal AtomSet AtomsOf(int id) => atoms[id];

    /// <summary>What a form of its own stands for; empty when it is none.</summary>
    internal AtomSet Says(ReadOnlySpan<char> word) => byText.TryGetValue(word, out var id) ? atoms[id] : default;

    internal int IdOf(string word) => ids.GetValueOrDefault(word, -1);

    /// <summary>Whether it is a known form of its own with something to say.</summary>
    internal bool IsMeaningful(ReadOnlySpan<char> word) => byText.TryGetValue(word, out var id) && inLexicon[id];

    /// <summary>Whether it is a known form at all, of the lexicon or an everyday word.</summary>
    internal bool IsListed(ReadOnlySpan<char> word) => byText.TryGetValue(word, out _);

    /// <summary>Fills in word, atoms and whether it is known, by an exact form, a stem or after undoing stretched letters and digits.</summary>
    internal bool Find(ReadOnlySpan<char> word, ref TextToken token)
    {
        if (Exact(word, ref token)) return true;
        if (word.Length is < 3 or > 60) return false;
        Span<char> other = stackalloc char[word.Length];
        var n = Squeeze(word, 2, other);
        if (n < word.Length && (Exact(other[..n], ref token) || (Squeeze(word, 1, other) is > 1 and var one && Exact(other[..one], ref token)))) return true;
        if (Clipped(word, "in", "ing", ref token) || Clipped(word, "ao", "ado", ref token) || Clipped(word, "aos", "ados", ref token)) return true;
        var digits = 0;
        for (var i = 0; i < word.Length; i++)
        {
            other[i] = char.IsAsciiDigit(word[i]) ? DigitLetters[word[i] - '0'] : word[i];
            if (other[i] != word[i]) digits++;
        }
        return digits > 0 && digits < word.Length && Exact(other, ref token);
    }

    // "breathin", "acostao": endings as they are spoken.
    private bool Clipped(ReadOnlySpan<char> word, string spoken, string written, ref TextToken token)
    {
        if (word.Length < 5 || word.Length + written.Length > LongestWord || !word.EndsWith(spoken, StringComparison.Ordinal)) return false;
        Span<char> whole = stackalloc char[LongestWord];
        var stem = word.Length - spoken.Length;
        word[..stem].CopyTo(whole);
        written.CopyTo(whole[stem..]);
        return Exact(whole[..(stem + written.Length)], ref token);
    }

    /// <summary>Fills in what it may be a slip of.</summary>
    internal bool FindSlip(ReadOnlySpan<char> word, ref TextToken token)
    {
        if (word.Length is < 3 or > LongestWord || char.IsAsciiDigit(word[0])) return false;
        Span<char> squeezed = stackalloc char[word.Length];
        var n = Squeeze(word, 2, squeezed);
        Span<int> near = stackalloc int[Spelling.MostFound];
        var count = spelling.Near(squeezed[..n], near, out var cost);
        if (count == 0) return false;
        var (set, byStem) = (default(AtomSet), token.Known);
        foreach (var id in near[..count])
        {
            set.Add(atoms[id]);
            if (!inLexicon[id] || byStem) continue;
            if (token.Meant < 0) token.Meant = id;
            else if (token.OrMeant < 0) token.OrMeant = id;
        }
        token.Atoms.Add(set.Without(exactOnly));
        if (byStem) return true;
        token.Known = cost <= 0.5;
        token.ShortSlip = word.Length <= 5 || (word.Length == 6 && cost > 0.75);
        return true;
    }

    private bool Exact(ReadOnlySpan<char> word, ref TextToken token)
    {
        if (byText.TryGetValue(word, out var id))
        {
            token.Word = id;
            token.Atoms = atoms[id];
            token.Known = true;
            return true;
        }
        token.Atoms = OfStems(word);
        token.Known = !token.Atoms.IsEmpty;
        return token.Known;
    }

    private AtomSet OfStems(ReadOnlySpan<char> word)
    {
        var all = default(AtomSet);
        for (var n = Math.Max(3, word.Length - 8); n <= word.Length; n++)
            if (stemByText.TryGetValue(word[..n], out var set)) all.Add(set);
        return all;
    }

    private static int Squeeze(ReadOnlySpan<char> word, int keep, Span<char> into)
    {
        var n = 0;
        var run = 0;
        for (var i = 0; i < word.Length; i++)
        {
            run = i > 0 && word[i] == word[i - 1] ? run + 1 : 1;
            if (run <= keep) into[n++] = word[i];
        }
        return n;
    }

    private int Add(string word, bool lexicon)
    {
        if (!ids.TryGetValue(word, out var id))
        {
            id = ids.Count;
            ids[word] = id;
            atoms.Add(default);
            inLexicon.Add(false);
            texts.Add(word);
        }
        inLexicon[id] |= lexicon;
        return id;
    }
}
