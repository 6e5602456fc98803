namespace AftercarePortal.Clinical.Triage;

/// <summary>Finds phrases of known words in one pass. A word may stand by what it is probably a slip of; a gap stands for up to two words of any kind.</summary>
internal sealed class Phrases
{
    internal const string Gap = "~";
    private const int GapId = -2;
    private const int MostSkipped = 2;
    private readonly Dictionary<long, int> next = [];
    private readonly List<AtomSet> ends = [default];
    private readonly List<int> afterGap = [-1];
    private readonly AtomSet exactOnly;
    private readonly AtomSet signs;

    internal Phrases(IEnumerable<(string[] Words, int Atom)> phrases, WordList words, AtomSet exactOnly, AtomSet signs)
    {
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
    }

    /// <summary>Gives the first word of every phrase what the phrase stands for.</summary>
    internal void Mark(Span<TextToken> tokens)
    {
        for (var i = 0; i < tokens.Length; i++) Walk(tokens, i, i, 0, false);
    }

    private void Walk(Span<TextToken> tokens, int first, int at, int node, bool slip)
    {
        if (at >= tokens.Length || (at > first && tokens[at].Sentence)) return;
        if (afterGap[node] is > 0 and var after)
            for (var k = at; k <= at + MostSkipped && k < tokens.Length && !tokens[k].Sentence; k++) Walk(tokens, first, k, after, slip);
        if (tokens[at].Word >= 0) Take(tokens, first, at, node, tokens[at].Word, slip);
        else if (tokens[at].Meant >= 0)
        {
            Take(tokens, first, at, node, tokens[at].Meant, true);
            if (tokens[at].OrMeant >= 0) Take(tokens, first, at, node, tokens[at].OrMeant, true);
        }
    }

    private void Take(Span<TextToken> tokens, int first, int at, int node, int word, bool slip)
    {
        if (!next.TryGetValue(Step(node, word), out var to)) return;
        var end = ends[to];
        if (!end.IsEmpty)
        {
            if (slip) end = end.Without(exactOnly);
            tokens[first].Atoms.Add(end);
            tokens[first].PhraseLength = Math.Max(tokens[first].PhraseLength, at - first);
            if (end.Meets(signs))
                for (var k = first; k <= at; k++) tokens[k].InSign = true;
        }
        Walk(tokens, first, at + 1, to, slip);
    }

    private static long Step(int node, int word) => ((long)node << 32) | (uint)word;
}
