using System.Text.Json.Nodes;
using System.Text.RegularExpressions;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Checks that whatever content cites stands in the bibliography, and that no file claims to have seen what the bibliography has not.</summary>
internal static partial class CitedSources
{
    private const string Bibliography = "sources.yaml";

    /// <summary>Adds a fault for every id without an entry, wherever it is written: in a list of sources, in words or in a comment.</summary>
    /// <returns>The bibliography as pages explain it; null with a fault in it.</returns>
    internal static SourceMarks? Check(string folder, List<ContentError> errors)
    {
        var path = Path.Combine(folder, Bibliography);
        if (!File.Exists(path)) { errors.Add(new(Bibliography, 1, 1, "/", "This file is needed and is not there.")); return null; }
        if (ContentDocument.Load(path, errors) is not { } bibliography) return null;
        var seen = new Dictionary<string, bool>(StringComparer.Ordinal);
        foreach (var (row, i) in CandidacyReader.ListOf(bibliography.Root["sources"]).Select((n, i) => (n as JsonObject, i)))
        {
            if (CandidacyReader.Text(row?["id"]) is not { Length: > 0 } id || row!["seen"] is not JsonValue flag || !flag.TryGetValue<bool>(out var was) || string.IsNullOrWhiteSpace(CandidacyReader.Text(row["cite"])))
                bibliography.Fault(errors, $"/sources/{i}", "A source has an id, seen true or false, and cite.");
            else if (!seen.TryAdd(id, was)) bibliography.Fault(errors, $"/sources/{i}/id", $"{id} stands twice.");
        }

        foreach (var file in Directory.GetFiles(folder, "*", SearchOption.AllDirectories).Order(StringComparer.Ordinal))
        {
            var name = Path.GetRelativePath(folder, file).Replace('\\', '/');
            if (name == Bibliography || name.StartsWith("schema/", StringComparison.Ordinal) || Path.GetExtension(file) is not (".yaml" or ".json" or ".md")) continue;
            var line = 0;
            foreach (var text in File.ReadLines(file)) Look(text, name, ++line, seen, errors);
        }

        return SourceMarks.Read(bibliography, errors);
    }

    private static void Look(string text, string file, int line, Dictionary<string, bool> seen, List<ContentError> errors)
    {
        foreach (Match match in Key().Matches(text))
            if (!seen.ContainsKey(match.Value)) errors.Add(new(file, line, match.Index + 1, "/", $"{match.Value} is cited here and stands in no line of {Bibliography}."));
        foreach (Match match in Cited().Matches(text))
        {
            var id = match.Groups["id"];
            if (!seen.TryGetValue(id.Value, out var was))
            {
                if (!Key().IsMatch(id.Value)) errors.Add(new(file, line, id.Index + 1, "/", $"{id.Value} is cited here and stands in no line of {Bibliography}."));
            }
            else if (!was && match.Groups["seen"].Value == "true") errors.Add(new(file, line, id.Index + 1, "/", $"{id.Value} is marked as seen here; the bibliography has it from memory. Never raise a mark."));
        }
    }

    // The keys of the evidence dossier: S is what was seen, M what was not.
    [GeneratedRegex(@"(?<![\p{L}\p{N}-])[SM][0-9]{2}[a-f]?(?![\p{L}\p{N}])")]
    private static partial Regex Key();

    [GeneratedRegex(@"\{ *id: *(?<id>[A-Za-z][A-Za-z0-9-]*), *grade: *[A-Z], *seen: *(?<seen>true|false) *\}")]
    private static partial Regex Cited();
}
