using System.Text.Json;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Web.Commands;

/// <summary>Reads patients' texts as JSON lines and answers each with its reading, in order.</summary>
internal static class ReadCommand
{
    private const string Usage =
        """
        usage: read < texts.jsonl > readings.jsonl
        in:  {"id","lang","day","product","text","media"}   one a line; day and product may be null, media a count
        out: {"id","tier","concepts":[{"id","tier","start","end","status"}],"version"}
        exit codes: 0 ok, 1 a line or the content was bad, 2 usage
        A reading flags for a person; it never diagnoses or clears.
        """;

    internal static int Run(string[] args, TextReader input, TextWriter output, TextWriter error, string contentFolder)
    {
        if (args is ["--help" or "-h"]) { output.WriteLine(Usage); return 0; }
        if (args.Length > 0) { error.WriteLine(Usage); return 2; }
        var path = Path.Combine(contentFolder, "triage", "lower-face.v1.yaml");
        if (!File.Exists(path)) { error.WriteLine("The content file triage/lower-face.v1.yaml is missing."); return 1; }
        var errors = new List<ContentError>();
        var lexicon = ContentDocument.Load(path, errors) is { } doc ? TriageReader.Read(doc, errors) : null;
        foreach (var fault in errors) error.WriteLine(fault);
        if (lexicon is null) return 1;
        var bad = false;
        for (var number = 1; input.ReadLine() is { } line; number++)
        {
            if (string.IsNullOrWhiteSpace(line)) continue;
            if (Answer(lexicon, line, out var reason) is { } answer)
            {
                output.WriteLine(answer.ToJsonString());
                output.Flush();
            }
            else
            {
                bad = true;
                error.WriteLine($"line {number}: {reason}");
            }
        }
        return bad ? 1 : 0;
    }

    private static JsonObject? Answer(TriageLexicon lexicon, string line, out string reason)
    {
        reason = "";
        JsonObject row;
        try
        {
            if (JsonNode.Parse(line) is not JsonObject parsed) { reason = "not a JSON object"; return null; }
            row = parsed;
            _ = row.Count;
        }
        catch (Exception fault) when (fault is JsonException or ArgumentException)
        {
            reason = "not readable as JSON";
            return null;
        }
        try
        {
            if (row["text"]?.GetValue<string>() is not { } text) { reason = "\"text\" is missing"; return null; }
            var products = new List<ProductClass>();
            foreach (var name in (row["product"]?.GetValue<string>() ?? "").Split('+', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
            {
                if (ProductClassNames.Parse(name) is not { } product) { reason = $"\"product\" names an unknown class: {name}"; return null; }
                products.Add(product);
            }
            var reading = lexicon.Read(text, new(row["day"]?.GetValue<int>(), products, Media(row["media"])));
            var concepts = new JsonArray();
            foreach (var clue in reading.Clues)
            {
                concepts.Add(new JsonObject
                {
                    ["id"] = clue.ConceptId, ["tier"] = Word(clue.Tier), ["start"] = clue.Start, ["end"] = clue.End, ["status"] = clue.Status,
                });
            }
            return new()
            {
                ["id"] = row["id"]?.DeepClone(), ["tier"] = Word(reading.Tier), ["concepts"] = concepts, ["version"] = reading.Version.ToString(),
            };
        }
        catch (Exception fault) when (fault is InvalidOperationException or FormatException)
        {
            reason = "a field has the wrong kind: \"text\" and \"product\" are strings, \"day\" a whole number, \"media\" a count";
            return null;
        }
    }

    private static int Media(JsonNode? media) => media switch
    {
        null => 0,
        JsonArray list => list.Count,
        JsonValue value when value.TryGetValue<bool>(out var any) => any ? 1 : 0,
        _ => media.GetValue<int>(),
    };

    private static string Word(Tier tier) => tier.Name().Replace(' ', '-');
}
