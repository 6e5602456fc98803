namespace AftercarePortal.Clinical.Triage;

/// <summary>Finds the atoms of each word: exact forms, stems, phrases, then small typos.</summary>
internal sealed class AtomIndex
{
    private readonly Dictionary<string, List<string>> exact = [];
    private readonly Dictionary<string, List<string>> stems = [];
    private readonly Dictionary<string, List<(string[] Words, string Atom)>> phrases = [];

    internal AtomIndex(IReadOnlyDictionary<string, IReadOnlyList<string>> atoms)
    {
        foreach (var (atom, forms) in atoms.OrderBy(a => a.Key, StringComparer.Ordinal))
        {
            foreach (var form in forms)
            {
                var words = form.Split('_', StringSplitOptions.RemoveEmptyEntries);
                if (words.Length > 1) Add(phrases, words[0], (words, atom));
                else if (form.EndsWith('*')) Add(stems, form[..^1], atom);
                else Add(exact, form, atom);
            }
        }
    }

    /// <summary>For each token the atoms it stands for, with the index of the last token of a phrase.</summary>
    internal List<(string Atom, int Last)>[] Find(IReadOnlyList<TextToken> tokens)
    {
        var found = new List<(string Atom, int Last)>[tokens.Count];
        for (var i = 0; i < tokens.Count; i++)
        {
            found[i] = [.. Of(tokens[i].Form).Select(a => (a, i))];
            foreach (var (words, atom) in phrases.GetValueOrDefault(tokens[i].Form, []))
            {
                if (i + words.Length <= tokens.Count && words.Select((w, k) => tokens[i + k].Form == w).All(same => same))
                    found[i].Add((atom, i + words.Length - 1));
            }
        }
        return found;
    }

    private List<string> Of(string word)
    {
        var known = Known(word);
        if (known.Count > 0 || word.Length < 3) return known;
        var two = Squeeze(word, 2);
        if (two != word && Known(two) is { Count: > 0 } squeezed) return squeezed;
        var one = Squeeze(word, 1);
        if (one != word && Known(one) is { Count: > 0 } single) return single;
        return word.Length is < 4 or > 24 || char.IsAsciiDigit(word[0]) ? [] : Near(one.Length < 4 ? word : two);
    }

    private List<string> Known(string word)
    {
        List<string> all = [.. exact.GetValueOrDefault(word, [])];
        for (var n = Math.Max(3, word.Length - 5); n <= word.Length; n++)
            if (stems.TryGetValue(word[..Math.Min(n, word.Length)], out var atoms) && n <= word.Length) all.AddRange(atoms);
        return all;
    }

    private List<string> Near(string word)
    {
        var allowed = word.Length >= 8 ? 2 : 1;
        List<string> all = [];
        foreach (var (form, atoms) in exact)
            if (form.Length >= 4 && Math.Abs(form.Length - word.Length) <= allowed && Distance(word, form) <= allowed) all.AddRange(atoms);
        foreach (var (stem, atoms) in stems)
        {
            if (stem.Length < 5 || word.Length < stem.Length - 1) continue;
            for (var n = stem.Length - 1; n <= stem.Length + 1 && n <= word.Length; n++)
                if (word.Length - n <= 5 && Distance(word[..n], stem) <= 1) { all.AddRange(atoms); break; }
        }
        return [.. all.Distinct().Order(StringComparer.Ordinal)];
    }

    private static string Squeeze(string word, int keep)
    {
        var kept = new List<char>();
        foreach (var c in word)
            if (kept.Count < keep || !kept.Skip(kept.Count - keep).All(k => k == c)) kept.Add(c);
        return new string([.. kept]);
    }

    // Restricted Damerau-Levenshtein (Damerau 1964, from memory, unchecked); words are at most 24 letters.
    private static int Distance(string a, string b)
    {
        if (a[0] != b[0]) return 9;      // the first letter is rarely mistyped; keeps everyday words apart
        var d = new int[a.Length + 1, b.Length + 1];
        for (var i = 0; i <= a.Length; i++) d[i, 0] = i;
        for (var j = 0; j <= b.Length; j++) d[0, j] = j;
        for (var i = 1; i <= a.Length; i++)
        {
            for (var j = 1; j <= b.Length; j++)
            {
                var cost = a[i - 1] == b[j - 1] ? 0 : 1;
                d[i, j] = Math.Min(Math.Min(d[i - 1, j] + 1, d[i, j - 1] + 1), d[i - 1, j - 1] + cost);
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) d[i, j] = Math.Min(d[i, j], d[i - 2, j - 2] + 1);
            }
        }
        return d[a.Length, b.Length];
    }

    private static void Add<T>(Dictionary<string, List<T>> to, string key, T value)
    {
        if (!to.TryGetValue(key, out var list)) to[key] = list = [];
        list.Add(value);
    }
}
