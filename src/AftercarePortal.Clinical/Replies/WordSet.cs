namespace AftercarePortal.Clinical.Replies;

/// <summary>Words and phrases as they are compared: lower case, no accents. <c>x*</c> stands for every word that begins so.</summary>
public sealed class WordSet
{
    private readonly HashSet<string> words = new(StringComparer.Ordinal);
    private readonly List<string> stems = [];
    private readonly List<string[]> phrases = [];

    /// <param name="forms">Each one word, or words parted by spaces or underscores.</param>
    public WordSet(IEnumerable<string> forms)
    {
        foreach (var form in forms)
        {
            var parts = form.Split([' ', '_'], StringSplitOptions.RemoveEmptyEntries);
            phrases.Add(parts);
            if (parts is not [var one]) continue;
            if (one.EndsWith('*')) stems.Add(one[..^1]);
            else words.Add(one);
        }
    }

    /// <summary>Whether one word is among them.</summary>
    internal bool Holds(string word) => words.Contains(word) || stems.Exists(s => word.StartsWith(s, StringComparison.Ordinal));

    /// <summary>Whether a text is one of them and nothing else.</summary>
    internal bool IsWhole(IReadOnlyList<string> text) => phrases.Exists(p => p.Length == text.Count && At(text, 0, p));

    /// <summary>Whether one of them stands anywhere in a text.</summary>
    internal bool IsIn(IReadOnlyList<string> text) => phrases.Exists(p => Enumerable.Range(0, Math.Max(0, text.Count - p.Length + 1)).Any(i => At(text, i, p)));

    private static bool At(IReadOnlyList<string> text, int from, string[] phrase)
    {
        for (var i = 0; i < phrase.Length; i++)
            if (phrase[i] is [.. var stem, '*'] ? !text[from + i].StartsWith(stem, StringComparison.Ordinal) : text[from + i] != phrase[i]) return false;
        return true;
    }
}
