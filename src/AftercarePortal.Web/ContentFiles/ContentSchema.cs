using System.Text.Json;
using Json.Schema;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Checks a content file against the JSON Schema of its kind (<c>schema/KIND.schema.json</c> beside the kind's folder).</summary>
/// <remarks>The schema says how a file is built; what it means is checked by the kind's reader.</remarks>
internal static class ContentSchema
{
    // The library keeps every schema it reads in one register that is not made for two readers at a time.
    private static readonly Lock Reading = new();
    private static readonly Dictionary<string, JsonSchema> Schemas = new(StringComparer.Ordinal);

    private static readonly EvaluationOptions AllFaults = new() { OutputFormat = OutputFormat.List };

    /// <summary>True when the file fits, or when there is no schema for its kind.</summary>
    internal static bool Fits(string path, ContentDocument document, List<ContentError> errors)
    {
        if (SchemaOf(path) is not { } schema) return true;
        var results = schema.Evaluate(JsonSerializer.SerializeToElement(document.Root), AllFaults);
        if (results.IsValid) return true;
        var faults = (results.Details ?? [])
            .Where(d => !d.IsValid && d.Errors is { Count: > 0 })
            .SelectMany(d => d.Errors!.Select(e => (At: d.InstanceLocation.ToString(), Reason: Sentence(e.Key, e.Value))))
            .Distinct().ToList();
        if (faults.Count == 0) faults.Add(("", "This does not fit the schema of its kind."));
        foreach (var (at, reason) in faults) document.Fault(errors, at.Length == 0 ? "/" : at, reason);
        return false;
    }

    private static JsonSchema? SchemaOf(string path)
    {
        var folder = Path.GetDirectoryName(Path.GetFullPath(path))!;
        if (Path.GetFileName(path).EndsWith(".cases.yaml", StringComparison.Ordinal)) return null;
        for (var kind = new DirectoryInfo(folder); kind?.Parent is not null; kind = kind.Parent)
        {
            var name = kind.Name == "pricing" && Path.GetFileName(path).Contains("-prices.", StringComparison.Ordinal) ? "prices" : kind.Name;
            var schema = Path.Combine(kind.Parent.FullName, "schema", name + ".schema.json");
            // Read anew for another text: tests and a running check may change a schema.
            if (File.Exists(schema)) return Read(File.ReadAllText(schema));
            if (kind.Name == "content") break;
        }

        return null;
    }

    private static JsonSchema Read(string text)
    {
        lock (Reading) return Schemas.TryGetValue(text, out var known) ? known : Schemas[text] = JsonSchema.FromText(text);
    }

    private static string Sentence(string keyword, string message) => keyword.Length == 0 ? "This key does not belong here." : $"{message.TrimEnd('.')} ({keyword}).";
}
