using System.Text.RegularExpressions;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>The approved texts, by id: of one language, with other languages beside it.</summary>
internal sealed partial class Texts(IReadOnlyDictionary<string, string> templates, IReadOnlyDictionary<string, Texts>? translations = null)
{
    /// <summary>Language of who chose none.</summary>
    public const string DefaultLanguage = "en";

    /// <summary>Languages a patient can be written to in.</summary>
    public static readonly string[] Languages = [DefaultLanguage, "es"];

    /// <summary>The texts in a language; one that is not translated stays in the default language.</summary>
    public Texts In(string? language) => language is null ? this : translations?.GetValueOrDefault(language) ?? this;

    /// <summary>The same with a translation beside it.</summary>
    public Texts With(string language, Texts translation) =>
        new(templates, new Dictionary<string, Texts> { [language] = new(templates.ToDictionary(t => t.Key, t => translation.Ids.Contains(t.Key) ? translation.Template(t.Key) : t.Value)) });

    /// <summary>Ids of all texts.</summary>
    public IEnumerable<string> Ids => templates.Keys;

    /// <summary>A text as written, with its placeholders.</summary>
    /// <exception cref="KeyNotFoundException">No such text.</exception>
    public string Template(string id) => templates[id];

    /// <summary>A text with its placeholders filled.</summary>
    /// <exception cref="InvalidOperationException">A placeholder has no value: a text with a hole is never sent.</exception>
    public string Fill(string id, IReadOnlyDictionary<string, string> values) =>
        Placeholder().Replace(Template(id), hole => values.TryGetValue(hole.Groups[1].Value, out var value)
            ? value
            : throw new InvalidOperationException($"Text {id}: nothing fills {hole.Value}."));

    /// <summary>A text with the placeholders that have a value filled; the others stay. To measure, never to send.</summary>
    internal string FillWhatIsKnown(string id, IReadOnlyDictionary<string, string> values) =>
        Placeholder().Replace(Template(id), hole => values.GetValueOrDefault(hole.Groups[1].Value, hole.Value));

    /// <summary>Reads a folder of texts, each in the version in force; front matter between two lines of dashes, then the text.</summary>
    public static Texts Read(string folder, List<ContentError> errors)
    {
        var templates = new Dictionary<string, string>();
        foreach (var name in ContentVersions.NamesIn(folder, "md"))
        {
            var words = new Dictionary<ContentDocument, string>();
            ContentDocument? Load(string path)
            {
                var parts = File.ReadAllText(path).Split("---\n", 3);
                if (parts.Length != 3 || parts[0].Length > 0 || parts[2].Trim().Length == 0)
                {
                    errors.Add(new($"texts/{Path.GetFileName(path)}", 1, 1, "/id", "A text starts with front matter that holds its id, and then has words."));
                    return null;
                }

                // The empty line stands for the opening dashes, so that lines count as in the file.
                var header = ContentDocument.Load(path, new StringReader("\n" + parts[1]), errors);
                if (header is not null) words[header] = parts[2].Trim();
                return header;
            }

            if (ContentVersions.Newest(folder, name, "md", errors, Load) is { } text) templates[text.Version.Id] = words[text];
        }

        return new(templates);
    }

    [GeneratedRegex(@"\{([a-z-]+)\}")]
    private static partial Regex Placeholder();
}
