using System.Security.Cryptography;
using System.Text;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>One version of one document a patient reads and signs.</summary>
/// <param name="Bytes">The whole file as it lies in content, front matter and all: what is kept with the signature.</param>
/// <param name="Status"><c>draft</c>, <c>published</c> or <c>withdrawn</c>.</param>
/// <param name="CoolingOffDays">Days after signing before treatment, 0 or more.</param>
internal sealed record ConsentDocument(string Id, int Version, string Status, string Title, string Language, int CoolingOffDays, byte[] Bytes)
{
    /// <summary>SHA-256 of the bytes, 64 hexadecimal digits.</summary>
    public string Hash { get; } = Convert.ToHexString(SHA256.HashData(Bytes));

    /// <summary>Headings and paragraphs in order; a heading begins with <c>## </c>.</summary>
    public IReadOnlyList<string> Blocks => BlocksOf(Bytes);

    /// <summary>Headings and paragraphs of kept bytes.</summary>
    public static IReadOnlyList<string> BlocksOf(byte[] bytes) =>
        [.. Encoding.UTF8.GetString(bytes).Split("---\n", 3)[2].Split('\n').Select(line => line.Trim()).Where(line => line.Length > 0)];

    /// <summary>Reads every version in a folder; of one id in one language the newest published is the one in force; while none is, the newest draft. A translation stands beside the version it translates.</summary>
    public static IReadOnlyList<ConsentDocument> ReadAll(string folder, List<ContentError> errors)
    {
        var read = new List<ConsentDocument>();
        foreach (var path in Directory.Exists(folder) ? Directory.GetFiles(folder, "*.md").Order(StringComparer.Ordinal) : Enumerable.Empty<string>())
            if (Read(File.ReadAllBytes(path)) is { } document)
            {
                read.Add(document);
                if (!Path.GetFileName(path).EndsWith($".v{document.Version}.md", StringComparison.Ordinal))
                    errors.Add(new($"consent/{Path.GetFileName(path)}", 1, 1, "/version", $"The header says version {document.Version}, the file's name another. A version stands once, in the file of its number."));
            }
            else errors.Add(new($"consent/{Path.GetFileName(path)}", 1, 1, "/", "A consent document starts with front matter (id, version, status draft, published or withdrawn, title, language, cooling-off-days from 0) and then has words."));
        if (read.Count == 0) errors.Add(new("consent", 1, 1, "/", "At least one consent document is needed."));
        foreach (var (translation, own) in read.Where(d => d.Language != Texts.DefaultLanguage).Select(d => (d, read.Find(o => o.Id == d.Id && o.Version == d.Version && o.Language == Texts.DefaultLanguage))))
            if (own is null || own.CoolingOffDays != translation.CoolingOffDays || Headings(own) != Headings(translation))
                errors.Add(new($"consent/{translation.Id}", 1, 1, $"/{translation.Language}", $"Version {translation.Version} in {translation.Language} must have the headings and the cooling-off days of the same version in {Texts.DefaultLanguage}."));
        var inForce = read.GroupBy(d => (d.Id, d.Language)).Select(versions => ContentVersions.InForce([.. versions.OrderBy(d => d.Version)], d => d.Status)).OfType<ConsentDocument>().ToList();
        if (read.Count > 0 && !inForce.Exists(d => d.Language == Texts.DefaultLanguage)) errors.Add(new("consent", 1, 1, "/status", ContentVersions.AllWithdrawn));
        return inForce;
    }

    private static int Headings(ConsentDocument document) => document.Blocks.Count(b => b.StartsWith("## ", StringComparison.Ordinal));

    private static ConsentDocument? Read(byte[] bytes)
    {
        var parts = Encoding.UTF8.GetString(bytes).Split("---\n", 3);
        if (parts.Length != 3 || parts[0].Length > 0 || parts[2].Trim().Length == 0) return null;
        var fields = parts[1].Split('\n').Select(line => line.Split(": ", 2)).Where(pair => pair.Length == 2).GroupBy(pair => pair[0]).ToDictionary(g => g.Key, g => g.First()[1].Trim());
        return fields.TryGetValue("id", out var id) && fields.TryGetValue("status", out var status) && status is "draft" or "published" or "withdrawn" && fields.TryGetValue("title", out var title) && fields.TryGetValue("language", out var language)
            && int.TryParse(fields.GetValueOrDefault("version"), out var version) && int.TryParse(fields.GetValueOrDefault("cooling-off-days"), out var days) && days >= 0
            ? new(id, version, status, title, language, days, bytes)
            : null;
    }
}
