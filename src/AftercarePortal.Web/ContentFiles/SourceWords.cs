using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>The sources of a row in words for whoever reads it beside the statement.</summary>
internal static class SourceWords
{
    /// <summary>For example <c>S01, seen, grade A</c>; what has no source says so.</summary>
    internal static string Of(FieldReader read, JsonObject row, string at)
    {
        var words = new List<string>();
        foreach (var (node, i) in read.List(row["sources"], $"{at}/sources").Select((n, i) => (n, i)))
        {
            var source = node as JsonObject ?? [];
            if (source["id"] is JsonValue id && id.TryGetValue<string>(out var name) && source["grade"] is JsonValue strength && strength.TryGetValue<string>(out var grade) && Enum.GetNames<Grade>().Contains(grade)
                && source["seen"] is JsonValue flag && flag.TryGetValue<bool>(out var seen))
                words.Add(name switch
                {
                    "practice" => "common practice, no source",
                    "judgement" => "a design choice, no source",
                    "memory" => $"from memory, unchecked, grade {grade}",
                    _ => $"{name}, {(seen ? "seen" : "from memory, unchecked")}, grade {grade}",
                });
            else read.Fault($"{at}/sources/{i}", "A source is { id, grade: R, A, B, C or D, seen: true or false }.");
        }

        return string.Join("; ", words);
    }
}
