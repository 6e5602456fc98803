namespace AftercarePortal.Clinical.Triage;

/// <summary>
/// Finds phrases of known words in one pass. A word may stand by what it is probably a slip of; a gap stands for up to two words of any kind;
/// up to two small words ("so", "my", "me", "ya") may stand between the words of a sign, never between those of a phrase that can lower.
/// When all other words of a phrase are right, one short word may be one letter off: "van't see properly".
/// </summary>
internal sealed class Phrases
{
    internal const string Gap = "~";
    private const int GapId = -2;
    private const int MostSkipped = 2;
    private const int MostSmall = 2;
    private const int MostNext = 800;               // a node with more is too common a beginning to guess from
    private readonly WordList words;
    private readonly Dictionary<long, int> next = [];
    private readonly List<AtomSet> ends = [default];
    private readonly List<int> afterGap = [-1];
    private readonly int[][] following;             // by node: which words may come next
    private readonly int[] shortFirst;
    private readonly AtomSet exactOnly;
    private readonly AtomSet signs;
    private readonly int small;

    internal Phrases(IEnumerable<(string[] Words, int Atom)> phrases, WordList words, AtomSet exactOnly, AtomSet signs, int small)
    {
        this.small = small;
        this.words = words;
        this.exactOnly = exactOnly;
        this.signs = signs;
        foreach (var (parts, atom) in phrases)
        {
            var node = 0;
            foreach (var part in parts)
            {
                var word = part == Gap ? GapId : words.IdOf(part);
                var step = Step(node, word);
                if (!next.TryGetValue(step, out var to))
                {
                    to = ends.Count;
                    ends.Add(default);
                    afterGap.Add(-1);
                    if (word == GapId) afterGap[node] = to;
                    next[step] = to;
                }
                node = to;
            }
            var set = ends[node];
            set.Add(atom);
            ends[node] = set;
        }
        var lists = new List<int>[ends.Count];
        foreach (var step in next.Keys.Where(s => (int)(uint)s != GapId)) (lists[(int)(step >> 32)] ??= []).Add((int)(uint)step);
        following = [.. lists.Select(l => l is { Count: <= MostNext } ? l.ToArray() : [])];
        shortFirst = [.. (lists[0] ?? []).Where(w => words.Text(w).Length is 3 or 4)];
    }

    /// <summary>Gives the first word of every phrase what the phrase stands for.</summary>
    internal void Mark(Span<TextToken> tokens, ReadOnlySpan<char> text)
    {
        for (var i = 0; i < tokens.Length; i++)
        {
            Walk(tokens, text, i, i, 0, Sureness.Exact, 0);
            if (IsUnknown(tokens[i])) Guess(tokens, text, i, i, 0, shortFirst, 0);
        }
    }

    private enum Sureness { Exact, Slip, Guessed }

    private void Walk(Span<TextToken> tokens, ReadOnlySpan<char> text, int first, int at, int node, Sureness sure, int between)
    {
        if (at >= tokens.Length || (at > first && tokens[at].Sentence)) return;
        if (afterGap[node] is > 0 and var after)
            for (var k = at; k <= at + MostSkipped && k < tokens.Length && !tokens[k].Sentence; k++) Walk(tokens, text, first, k, after, sure, between);
        if (at > first && between < MostSmall && tokens[at].Word >= 0 && tokens[at].Atoms.Has(small))
            Walk(tokens, text, first, at + 1, node, sure == Sureness.Guessed ? sure : Sureness.Slip, between + 1);
        if (tokens[at].Word >= 0) Take(tokens, text, first, at, node, tokens[at].Word, sure, between);
        else if (tokens[at].Meant >= 0)
        {
            var slip = sure == Sureness.Guessed ? sure : Sureness.Slip;
            Take(tokens, text, first, at, node, tokens[at].Meant, slip, between);
            if (tokens[at].OrMeant >= 0) Take(tokens, text, first, at, node, tokens[at].OrMeant, slip, between);
        }
        // An unknown word may be a slip of what should come next; a known one only far into a phrase.
        if (sure != Sureness.Guessed && at > first && (IsUnknown(tokens[at]) || (at > first + 1 && tokens[at].Atoms.IsEmpty))) Guess(tokens, text, first, at, node, following[node], between);
    }

    private void Guess(Span<TextToken> tokens, ReadOnlySpan<char> text, int first, int at, int node, int[] candidates, int between)
    {
        var token = tokens[at];
        if (token.IsNumber || token.Picture || token.End - token.Start is < 3 or > 8 || candidates.Length == 0) return;
        Span<char> form = stackalloc char[64];
        TextCutter.Word(text, token.Start, token.End, form, out var n);
        foreach (var word in candidates)
            if (Spelling.IsOneOff(form[..n], words.Text(word))) Take(tokens, text, first, at, node, word, Sureness.Guessed, between);
    }

    private void Take(Span<TextToken> tokens, ReadOnlySpan<char> text, int first, int at, int node, int word, Sureness sure, int between)
    {
        if (!next.TryGetValue(Step(node, word), out var to)) return;
        var end = ends[to];
        if (sure != Sureness.Exact) end = end.Without(exactOnly);
        if (sure == Sureness.Guessed) end = at - first >= 1 ? end.Only(signs) : default;
        if (!end.IsEmpty)
        {
            tokens[first].Atoms.Add(end);
            tokens[first].PhraseLength = Math.Max(tokens[first].PhraseLength, at - first);
            if (end.Meets(signs))
                for (var k = first; k <= at; k++) tokens[k].InSign = true;
        }
        Walk(tokens, text, first, at + 1, to, sure, between);
    }

    private static bool IsUnknown(in TextToken token) => token.Word < 0 && !token.Known;

    private static long Step(int node, int word) => ((long)node << 32) | (uint)word;
}
