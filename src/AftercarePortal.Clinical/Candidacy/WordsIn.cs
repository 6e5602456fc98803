namespace AftercarePortal.Clinical.Candidacy;

/// <summary>Finds named things in what somebody wrote: whole words, without regard to case, accents or one slip in a long word.</summary>
internal static class WordsIn
{
    /// <summary>Words of this length and above may hold one slip: a letter wrong, missing, doubled or swapped. Judgement, no source.</summary>
    private const int LongWord = 7;

    /// <summary>Whether a text names one of these words or phrases.</summary>
    /// <param name="words">The words of the text (<see cref="IntakeFacts.WordsOf"/>).</param>
    /// <param name="names">Each the words of a phrase, or one word; lower case, without accents.</param>
    internal static bool Name(IReadOnlyList<string> words, string[][] names)
    {
        foreach (var name in names)
            if (Holds(words, name)) return true;
        return false;
    }

    private static bool Holds(IReadOnlyList<string> words, ReadOnlySpan<string> phrase)
    {
        for (var at = 0; at + phrase.Length <= words.Count; at++)
        {
            var all = true;
            for (var i = 0; i < phrase.Length && all; i++) all = Same(words[at + i], phrase[i]);
            if (all) return true;
        }

        return false;
    }

    private static bool Same(string word, string name)
    {
        if (word == name) return true;
        if (name.Length < LongWord || Math.Abs(word.Length - name.Length) > 1) return false;
        var i = 0;
        while (i < word.Length && i < name.Length && word[i] == name[i]) i++;
        var rest = word.AsSpan(i);
        var left = name.AsSpan(i);
        if (rest.IsEmpty || left.IsEmpty) return true;
        return rest.Length == left.Length
            ? rest[1..].SequenceEqual(left[1..]) || (rest.Length > 1 && rest[0] == left[1] && rest[1] == left[0] && rest[2..].SequenceEqual(left[2..]))
            : rest.Length > left.Length ? rest[1..].SequenceEqual(left) : rest.SequenceEqual(left[1..]);
    }
}
