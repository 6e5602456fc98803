using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Web.Commands;

/// <summary>Reads patients' texts as JSON lines and answers each with its reading, in order.</summary>
internal static class ReadCommand
{
    private const string Usage =
        """
        usage: read < texts.jsonl > readings.jsonl
               read evaluate FILE        how the readings compare with the tiers that stand in the file
               read compare FOLDER FILE  which readings of FILE differ from those under the content in FOLDER, for example the last one in force
        in:  {"id","lang","day","product","text","media"}   one a line; day and product may be null, media a count
        out: {"id","tier","concepts":[{"id","tier","start","end","status"}],"version","desk"}
             desk: admin, unrelated or null: what a text that no person need hurry for is about
        FILE holds lines like the input with "tier" (emergency, urgent, same-day, routine, admin, unrelated) and "tags".
        exit codes: 0 ok, 1 a line or the content was bad, or a text reads lower than before, 2 usage
        A reading flags for a person; it never diagnoses or clears.
        """;

    internal static int Run(string[] args, TextReader input, TextWriter output, TextWriter error, string contentFolder)
    {
        if (args is ["--help" or "-h"] or [_, "--help" or "-h"]) { output.WriteLine(Usage); return 0; }
        if (args is not ([] or ["evaluate", _] or ["compare", _, _])) { error.WriteLine(Usage); return 2; }
        if (args.Length > 0 && !File.Exists(args[^1])) { error.WriteLine("There is no such file."); return 2; }
        if (Lexicon(contentFolder, error) is not { } lexicon) return 1;
        if (args is [_, var file])
        {
            using var rows = File.OpenText(file);
            return Evaluation.Run(lexicon, rows, output, error);
        }
        if (args is [_, var before, var texts])
        {
            if (!Directory.Exists(before)) { error.WriteLine("There is no such folder."); return 2; }
            using var rows = File.OpenText(texts);
            return Lexicon(before, error) is { } old ? ReadComparison.Run(old, lexicon, rows, output, error) : 1;
        }
        var bad = false;
        for (var number = 1; input.ReadLine() is { } line; number++)
        {
            if (number == 1) line = line.TrimStart('\uFEFF');        // a byte order mark is no text
            if (string.IsNullOrWhiteSpace(line)) continue;
            if (PatientText.Parse(line, out var reason) is { } text)
            {
                output.WriteLine(Answer(text, lexicon.Read(text.Text, text.Context)).ToJsonString());
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

    internal static string Word(Tier tier) => tier.Name().Replace(' ', '-');

    private static TriageLexicon? Lexicon(string contentFolder, TextWriter error)
    {
        var errors = new List<ContentError>();
        var lexicon = TriageReader.Load(contentFolder, errors);
        foreach (var fault in errors) error.WriteLine(fault);
        return lexicon;
    }

    private static JsonObject Answer(PatientText text, Reading reading)
    {
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
            ["id"] = text.Row["id"]?.DeepClone(), ["tier"] = Word(reading.Tier), ["concepts"] = concepts,
            ["version"] = reading.Version.ToString(), ["desk"] = reading.Desk,
        };
    }
}
