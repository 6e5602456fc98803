namespace AftercarePortal.Clinical.Triage;

/// <summary>Finds phrases of known words in one pass. A word may stand by what it is probably a slip of.</summary>
internal sealed class Phrases
{
    private readonly Dictionary<long, int> next = [];
    private readonly List<AtomSet> ends = [default];
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
                var step = Step(node, words.IdOf(part));
                if (!next.TryGetValue(step, out var to))
                {
                    to = ends.Count;
                    ends.Add(default);
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
