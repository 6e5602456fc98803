namespace AftercarePortal.Clinical.Triage;

/// <summary>Finds the known words that a misspelt one may be. Every word is filed under itself with letters left out, so a look-up is a few hashes.</summary>
/// <remarks>Restricted Damerau-Levenshtein with weights (Damerau 1964; deletion files after Garbe, both from memory, unchecked).</remarks>
internal sealed class Spelling
{
    internal const int MostFound = 24;
    private const double Margin = 0.35;             // dearer words still count, so that an everyday word does not hide a sign,
    private const double SignMargin = 0.6;          // and a word of the lexicon even more
    private const int LongFrom = 8;                 // from so many letters on two slips are allowed
    private const int LongTo = 14;                  // and beyond so many only one, to keep a hostile text cheap
    private const string Keys = "qwertyuiop|asdfghjkl|zxcvbnm";
    private static readonly string[] SoundAlikes = ["ck", "sz", "sc", "cz", "bv", "yi", "gj", "kq", "ei", "ae", "ou"];
    private const int LettersInTable = 26;
    private static readonly double[] Swaps = SwapTable();
    private readonly (string Word, int Id, bool Deep)[] words;
    private readonly Dictionary<ulong, int[]> files = [];
    private readonly bool[] deepById;

    internal Spelling((string Word, int Id, bool Deep)[] words)
    {
        this.words = words;
        deepById = new bool[words.Length == 0 ? 0 : words.Max(w => w.Id) + 1];
        foreach (var (_, id, deep) in words) deepById[id] = deep;
        var filed = new Dictionary<ulong, List<int>>();
        for (var i = 0; i < words.Length; i++)
        {
            var at = i;
            Each(words[i].Word, words[i].Deep, hash =>
            {
                if (!filed.TryGetValue(hash, out var list)) filed[hash] = list = [];
                if (list.Count == 0 || list[^1] != at) list.Add(at);
            });
        }
        foreach (var (hash, list) in filed) files[hash] = [.. list];
    }

    /// <summary>Ids of the nearest words; the cheapest slip first, and others that cost almost the same.</summary>
    internal int Near(ReadOnlySpan<char> word, Span<int> found, out double best)
    {
        Span<double> costs = stackalloc double[MostFound];
        var count = 0;
        Look(word, word.Length, Hash(word, -1, -1), costs, found, ref count);
        for (var i = 0; i < word.Length; i++)
        {
            Look(word, word.Length, Hash(word, i, -1), costs, found, ref count);
            if (word.Length is < LongFrom or > LongTo) continue;
            for (var j = i + 1; j < word.Length; j++) Look(word, word.Length, Hash(word, i, j), costs, found, ref count);
        }
        best = double.MaxValue;
        for (var i = 0; i < count; i++) best = Math.Min(best, costs[i]);
        var kept = 0;
        for (var i = 0; i < count; i++)
        {
            if (costs[i] > best + (deepById[found[i]] ? SignMargin : Margin)) continue;
            (costs[kept], found[kept]) = (costs[i], found[i]);
            if (costs[kept] < costs[0]) (costs[0], costs[kept], found[0], found[kept]) = (costs[kept], costs[0], found[kept], found[0]);
            kept++;
        }
        return kept;
    }

    /// <summary>Whether two different words are one letter apart: one swapped with its neighbour, left out, put in or another.</summary>
    internal static bool IsOneOff(ReadOnlySpan<char> a, ReadOnlySpan<char> b)
    {
        if (Math.Abs(a.Length - b.Length) > 1 || b.Length < 2) return false;
        var from = a.CommonPrefixLength(b);
        var restA = a[from..];
        var restB = b[from..];
        if (a.Length > b.Length) return restA[1..].SequenceEqual(restB);
        if (a.Length < b.Length) return restB[1..].SequenceEqual(restA);
        if (restA.IsEmpty) return false;
        return restA[1..].SequenceEqual(restB[1..]) || (restA.Length > 1 && restA[0] == restB[1] && restA[1] == restB[0] && restA[2..].SequenceEqual(restB[2..]));
    }

    private void Look(ReadOnlySpan<char> word, int length, ulong hash, Span<double> costs, Span<int> found, ref int count)
    {
        if (!files.TryGetValue(hash, out var list)) return;
        foreach (var at in list)
        {
            var (known, id, _) = words[at];
            var limit = Math.Min(length, known.Length) switch { < 4 => 0.5, 4 => 1.0, < LongFrom => 1.3, < 10 => 1.5, _ => 1.7 };
            if (Math.Abs(known.Length - length) > 2 || count == MostFound || found[..count].Contains(id)) continue;
            var cost = Cost(word, known, limit);
            if (cost > limit) continue;
            (costs[count], found[count]) = (cost, id);
            count++;
        }
    }

    private static void Each(string word, bool deep, Action<ulong> file)
    {
        file(Hash(word, -1, -1));
        for (var i = 0; i < word.Length; i++)
        {
            file(Hash(word, i, -1));
            if (!deep || word.Length is < LongFrom or > LongTo) continue;
            for (var j = i + 1; j < word.Length; j++) file(Hash(word, i, j));
        }
    }

    private static ulong Hash(ReadOnlySpan<char> word, int without, int andWithout)
    {
        var hash = 14695981039346656037UL;          // FNV-1a
        for (var i = 0; i < word.Length; i++)
            if (i != without && i != andWithout) hash = (hash ^ word[i]) * 1099511628211UL;
        return hash;
    }

    // What turns one word into the other; whatever is above the limit is told as infinite, without counting on.
    private static double Cost(ReadOnlySpan<char> a, ReadOnlySpan<char> b, double limit)
    {
        Span<double> before = stackalloc double[b.Length + 1];
        Span<double> last = stackalloc double[b.Length + 1];
        Span<double> row = stackalloc double[b.Length + 1];
        Span<double> gaps = stackalloc double[b.Length];
        for (var j = 0; j < gaps.Length; j++) gaps[j] = Gap(b, j);
        last[0] = 0;
        for (var j = 0; j < gaps.Length; j++) last[j + 1] = last[j] + gaps[j];
        var (leastBefore, leastLast) = (0.0, 0.0);
        for (var i = 1; i <= a.Length; i++)
        {
            var gap = Gap(a, i - 1);
            var least = row[0] = last[0] + gap;
            for (var j = 1; j < row.Length; j++)
            {
                var cost = Math.Min(Math.Min(last[j] + gap, row[j - 1] + gaps[j - 1]), last[j - 1] + Swap(a[i - 1], b[j - 1], i == 1));
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] && a[i - 1] != a[i - 2]) cost = Math.Min(cost, before[j - 2] + 0.5);
                row[j] = cost;
                least = Math.Min(least, cost);
            }
            leastBefore = leastLast;
            leastLast = least;
            if (leastBefore > limit && leastLast > limit) return double.PositiveInfinity;        // no cost falls again
            var spare = before;
            before = last;
            last = row;
            row = spare;
        }
        return last[b.Length];
    }

    // A letter too many or too few: cheap when it doubles its neighbour, a little cheaper when it is a vowel inside; dear in front.
    private static double Gap(ReadOnlySpan<char> word, int at)
    {
        if ((at > 0 && word[at - 1] == word[at]) || (at + 1 < word.Length && word[at + 1] == word[at])) return 0.3;
        if (word[at] == 'h') return 0.5;
        if (at == 0) return word.Length < 6 ? 1.3 : 1.0;
        return word[at] is 'a' or 'e' or 'i' or 'o' or 'u' ? 0.7 : 1.0;
    }

    private static double Swap(char a, char b, bool first)
    {
        if (a == b) return 0;
        var (i, j) = (a - 'a', b - 'a');
        if ((uint)i >= LettersInTable || (uint)j >= LettersInTable) return first ? 1.3 : 1.0;
        var cost = Swaps[(i * LettersInTable) + j];
        return cost > 0 ? cost : first ? 1.3 : 1.0;
    }

    // Sound-alikes and neighbouring keys by pair of letters; 0 for every other pair.
    private static double[] SwapTable()
    {
        var table = new double[LettersInTable * LettersInTable];
        for (var i = 0; i < LettersInTable; i++)
            for (var j = 0; j < LettersInTable; j++)
                if (Neighbours((char)('a' + i), (char)('a' + j))) table[(i * LettersInTable) + j] = 0.7;
        foreach (var pair in SoundAlikes)
            table[((pair[0] - 'a') * LettersInTable) + pair[1] - 'a'] = table[((pair[1] - 'a') * LettersInTable) + pair[0] - 'a'] = 0.5;
        return table;
    }

    private static bool Neighbours(char a, char b)
    {
        var (i, j) = (Keys.IndexOf(a, StringComparison.Ordinal), Keys.IndexOf(b, StringComparison.Ordinal));
        if (i < 0 || j < 0) return false;
        var apart = Math.Abs(i - j);
        return apart == 1 || apart is 10 or 11 or 9;
    }
}
