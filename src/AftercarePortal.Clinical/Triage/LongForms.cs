namespace AftercarePortal.Clinical.Triage;

/// <summary>The long forms of contracted English words in a phrase: <c>eye isnt working</c> is also written "eye is not working".</summary>
internal static class LongForms
{
    private static readonly Dictionary<string, string[][]> Long = new(StringComparer.Ordinal)
    {
        ["cant"] = [["cannot"], ["can", "not"], ["couldnt"], ["could", "not"]],
        ["couldnt"] = [["could", "not"]],
        ["wont"] = [["will", "not"]],
        ["doesnt"] = [["does", "not"]],
        ["dont"] = [["do", "not"]],
        ["didnt"] = [["did", "not"]],
        ["isnt"] = [["is", "not"]],
        ["arent"] = [["are", "not"]],
        ["wasnt"] = [["was", "not"]],
        ["werent"] = [["were", "not"]],
        ["hasnt"] = [["has", "not"]],
        ["havent"] = [["have", "not"]],
        ["im"] = [["i", "am"]],
        ["ive"] = [["i", "have"]],
        ["its"] = [["it", "is"]],
        ["shes"] = [["she", "is"]],
        ["hes"] = [["he", "is"]],
        ["theres"] = [["there", "is"]],
    };

    /// <summary>A phrase itself and with each contracted word written out.</summary>
    internal static IEnumerable<string[]> Of(string[] phrase)
    {
        IEnumerable<string[]> all = [[]];
        foreach (var word in phrase)
        {
            string[][] ways = Long.TryGetValue(word, out var more) ? [[word], .. more] : [[word]];
            all = [.. all.SelectMany(begun => ways.Select(way => (string[])[.. begun, .. way]))];
        }
        return all;
    }
}
