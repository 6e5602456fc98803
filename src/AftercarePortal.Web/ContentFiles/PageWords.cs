using System.Globalization;
using System.Text.Json.Nodes;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>The words of the pages a patient reads, in one language.</summary>
/// <param name="language">BCP 47, for example <c>es</c>.</param>
/// <param name="words">By key.</param>
internal sealed class PageWords(string language, IReadOnlyDictionary<string, string> words)
{
    /// <summary>Languages the pages are written in; the first is the clinic's own.</summary>
    public static IReadOnlyList<string> Languages { get; } = ["en", "es"];

    public string Language => language;

    /// <summary>Every key there is.</summary>
    public IEnumerable<string> Keys => words.Keys;

    /// <summary>The words as written.</summary>
    /// <exception cref="KeyNotFoundException">No such key: a mistake of ours, found by the tests.</exception>
    public string this[string key] => words[key];

    /// <summary>The words with <c>{0}</c>, <c>{1}</c>, <c>{2}</c> filled.</summary>
    public string Say(string key, params object[] values) => string.Format(CultureInfo.InvariantCulture, words[key], values);

    /// <summary>The words in every language; null, with faults added, when one is missing.</summary>
    public static IReadOnlyDictionary<string, PageWords>? Read(ContentDocument doc, List<ContentError> errors)
    {
        var before = errors.Count;
        var byLanguage = Languages.ToDictionary(l => l, _ => new Dictionary<string, string>(StringComparer.Ordinal));
        if (doc.Root["words"] is not JsonObject { Count: > 0 } rows) { doc.Fault(errors, "/words", "The words are missing."); return null; }
        foreach (var (key, node) in rows)
        {
            foreach (var language in Languages)
            {
                if (node is JsonObject row && row[language] is JsonValue value && value.TryGetValue<string>(out var text)) byLanguage[language][key] = text;
                else doc.Fault(errors, $"/words/{key}", $"These words are not there in {language}.");
            }
        }

        return errors.Count == before ? byLanguage.ToDictionary(l => l.Key, l => new PageWords(l.Key, l.Value)) : null;
    }
}
