using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Web.Commands;

/// <summary>Reads the same texts under two lexicons and prints every text whose reading differs.</summary>
internal static class ReadComparison
{
    /// <summary>Prints one JSON line a difference, then what changed in all. 1 when a text reads lower than before or a line was bad, else 0.</summary>
    internal static int Run(TriageLexicon before, TriageLexicon now, TextReader rows, TextWriter output, TextWriter error)
    {
        int read = 0, raised = 0, lowered = 0, bad = 0;
        for (var number = 1; rows.ReadLine() is { } line; number++)
        {
            if (string.IsNullOrWhiteSpace(line)) continue;
            if (PatientText.Parse(line, out var reason) is not { } text)
            {
                bad++;
                error.WriteLine($"line {number}: {reason}");
                continue;
            }

            read++;
            var (then, after) = (before.Read(text.Text, text.Context), now.Read(text.Text, text.Context));
            if (after.Tier > then.Tier) raised++;
            if (after.Tier < then.Tier) lowered++;
            if (Difference(text, then, after) is { } difference) output.WriteLine(difference.ToJsonString());
        }

        error.WriteLine($"{read} texts read under {before.Version} and {now.Version}: {raised} read higher now, {lowered} lower.");
        return lowered > 0 || bad > 0 ? 1 : 0;
    }

    private static JsonObject? Difference(PatientText text, Reading then, Reading now)
    {
        var (had, has) = (Signs(then), Signs(now));
        if (then.Tier == now.Tier && had.SetEquals(has)) return null;
        return new()
        {
            ["id"] = text.Row["id"]?.DeepClone(), ["before"] = ReadCommand.Word(then.Tier), ["now"] = ReadCommand.Word(now.Tier),
            ["no_longer_found"] = List(had.Except(has)), ["newly_found"] = List(has.Except(had)),
        };
    }

    private static HashSet<string> Signs(Reading reading) => [.. reading.Clues.Select(c => $"{c.ConceptId} ({c.Status})")];

    private static JsonArray List(IEnumerable<string> signs) => [.. signs.Order(StringComparer.Ordinal).Select(s => JsonValue.Create(s))];
}
