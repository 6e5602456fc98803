using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>The versions of one content file, <c>NAME.v1.yaml</c>, <c>NAME.v2.yaml</c> …, side by side in the folder of its kind.</summary>
/// <remarks>None is ever taken away: what was said under an old one is shown and read again under it.</remarks>
internal static partial class ContentVersions
{
    /// <summary>Every version, oldest first; with a fault added for one that is missing, stands twice or is not named as it says.</summary>
    /// <param name="folder">Folder of the kind.</param>
    /// <param name="name">The file's name before its version.</param>
    /// <param name="ending">For example <c>yaml</c>.</param>
    /// <param name="errors">Where faults are added.</param>
    /// <param name="load">Reads one file; null: the whole file as YAML or JSON.</param>
    internal static IReadOnlyList<ContentDocument> Read(string folder, string name, string ending, List<ContentError> errors, Func<string, ContentDocument?>? load = null)
    {
        var kind = Path.GetFileName(folder);
        void Fault(string file, string path, string reason) => errors.Add(new($"{kind}/{file}", 1, 1, path, reason));
        var found = new SortedDictionary<int, string>();
        foreach (var path in Directory.Exists(folder) ? Directory.GetFiles(folder, $"{name}.v*.{ending}").Order(StringComparer.Ordinal) : Enumerable.Empty<string>())
        {
            var file = Path.GetFileName(path);
            if (file.EndsWith($".cases.{ending}", StringComparison.Ordinal)) continue;
            var number = Numbered().Match(file[name.Length..]) is { Success: true } match ? int.Parse(match.Groups[1].Value, CultureInfo.InvariantCulture) : 0;
            if (number == 0) Fault(file, "/", $"A version is named {name}.v1.{ending}, {name}.v2.{ending} and so on; this file is none of them and would be passed over.");
            else found[number] = path;
        }

        for (var number = 1; number <= Math.Max(1, found.Keys.LastOrDefault()); number++)
            if (!found.ContainsKey(number))
                Fault($"{name}.v{number}.{ending}", "/", found.Count == 0 ? "This file is needed and is not there." : "This version is missing although a later one is there. Old versions stay: what was said under them is shown again.");
        var read = new List<ContentDocument>();
        foreach (var (number, path) in found)
        {
            if ((load is null ? ContentDocument.Load(path, errors) : load(path)) is not { } document) continue;
            if (document.Version.Number != number) document.Fault(errors, "/version", $"The file's name says version {number}, its header says {document.Version.Number}. A version stands once, in the file of its number.");
            else if (read.Count > 0 && document.Version.Id != read[0].Version.Id) document.Fault(errors, "/id", $"Version {read[0].Version.Number} of this file is called {read[0].Version.Id}; every version bears the same id.");
            else read.Add(document);
        }

        return read;
    }

    /// <summary>The version in force: the newest that is published; while none is, the newest draft. Null, with the fault added, when all were withdrawn.</summary>
    /// <remarks>So a draft beside a published version can be written and checked, and decides nothing until somebody has signed it.</remarks>
    internal static ContentDocument? InForce(IReadOnlyList<ContentDocument> versions, List<ContentError> errors)
    {
        var chosen = InForce(versions, StatusOf);
        if (chosen is null && versions.Count > 0) versions[^1].Fault(errors, "/status", AllWithdrawn);
        return chosen;
    }

    /// <summary>The same rule of versions of any kind, oldest first; null: all were withdrawn.</summary>
    internal static T? InForce<T>(IReadOnlyList<T> versions, Func<T, string> status) where T : class =>
        versions.LastOrDefault(v => status(v) == "published") ?? versions.LastOrDefault(v => status(v) == "draft");

    /// <summary>What is wrong where none is left.</summary>
    internal const string AllWithdrawn = "Every version is withdrawn. One must be a draft or published.";

    /// <summary>The version in force of a file that is read in one version only; faults of the others are added all the same.</summary>
    internal static ContentDocument? Newest(string folder, string name, string ending, List<ContentError> errors, Func<string, ContentDocument?>? load = null) =>
        InForce(Read(folder, name, ending, errors, load), errors);

    /// <summary>Names of all files of a folder that come in versions.</summary>
    /// <param name="folder">Folder of the kind; it may be missing.</param>
    /// <param name="ending">For example <c>md</c>.</param>
    internal static IReadOnlyList<string> NamesIn(string folder, string ending) =>
        !Directory.Exists(folder) ? [] :
        [
            .. Directory.GetFiles(folder, $"*.v*.{ending}").Select(p => Path.GetFileName(p)).Where(f => !f.EndsWith($".cases.{ending}", StringComparison.Ordinal))
                .Select(f => f[..f.IndexOf(".v", StringComparison.Ordinal)]).Distinct().Order(StringComparer.Ordinal),
        ];

    // A FHIR resource says active and retired; a file without a status, such as a text, counts as soon as it is there.
    internal static string StatusOf(ContentDocument document) =>
        document.Root["status"] is JsonValue value && value.TryGetValue<string>(out var status) ? status switch { "active" => "published", "retired" => "withdrawn", _ => status } : "published";

    [GeneratedRegex(@"^\.v([1-9][0-9]{0,5})\.[a-z]+$")]
    private static partial Regex Numbered();
}
