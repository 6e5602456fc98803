using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Triage;
using MathNet.Numerics.Distributions;

namespace AftercarePortal.Web.Commands;

/// <summary>Compares readings with the tiers written beside the texts: confusion table, exact bounds, every text read too low.</summary>
/// <remarks>Bounds: Clopper and Pearson 1934, two-sided 95 %. They say what the number of texts supports, not that the labels are right.</remarks>
internal static class Evaluation
{
    private static readonly string[] Labels = ["emergency", "urgent", "same-day", "routine", "admin", "unrelated"];

    private sealed record Read(string Id, string Label, Tier Least, Reading Reading, string Text, IReadOnlyList<string> Groups);

    internal static int Run(TriageLexicon lexicon, TextReader input, TextWriter output, TextWriter error)
    {
        var reads = new List<Read>();
        var bad = false;
        for (var number = 1; input.ReadLine() is { } line; number++)
        {
            if (string.IsNullOrWhiteSpace(line)) continue;
            if (PatientText.Parse(line, out var reason) is { } text && One(lexicon, text, out reason) is { } read) reads.Add(read);
            else
            {
                bad = true;
                error.WriteLine($"line {number}: {reason}");
            }
        }
        Table(reads, output);
        Figures(reads, output);
        var low = reads.Where(r => r.Reading.Tier < r.Least).ToArray();
        output.WriteLine($"\nread too low: {low.Length}");
        foreach (var r in low.OrderByDescending(r => r.Least)) output.WriteLine(Listed(r));
        var high = reads.Where(r => Ordinary(r) && r.Reading.Tier >= Tier.Urgent).ToArray();
        output.WriteLine($"\nordinary, read as urgent or emergency: {high.Length}");
        foreach (var r in high.Take(2_000)) output.WriteLine(Listed(r));
        return bad ? 1 : 0;
    }

    /// <summary>Two-sided 95 % exact bounds of a share, 0 to 1.</summary>
    internal static (double Low, double High) Bounds(int hits, int of) =>
        (hits == 0 ? 0 : Beta.InvCDF(hits, of - hits + 1, 0.025), hits == of ? 1 : Beta.InvCDF(hits + 1, of - hits, 0.975));

    private static Read? One(TriageLexicon lexicon, PatientText text, out string reason)
    {
        var label = (text.Row["tier"] as JsonValue)?.TryGetValue<string>(out var word) == true ? word : "";
        reason = Labels.Contains(label) ? "" : "\"tier\" is not one of " + string.Join(", ", Labels);
        if (reason.Length > 0) return null;
        var least = label switch { "emergency" => Tier.Emergency, "urgent" => Tier.Urgent, "same-day" => Tier.SameDay, _ => Tier.Routine };
        var day = text.Context.Day switch { null => "day unknown", <= 3 => "day 0-3", <= 14 => "day 4-14", _ => "day 15+" };
        var tags = (text.Row["tags"] as JsonArray ?? []).Select(t => "tag " + t);
        return new($"{text.Row["id"]}", label, least, lexicon.Read(text.Text, text.Context), text.Text, ["all", "language " + text.Row["lang"], day, .. tags]);
    }

    private static void Table(List<Read> reads, TextWriter output)
    {
        Tier[] tiers = [Tier.Emergency, Tier.Urgent, Tier.SameDay, Tier.Routine];
        output.WriteLine($"{"label \\ read as",-16}{string.Concat(tiers.Select(t => $"{ReadCommand.Word(t),11}"))}");
        foreach (var label in Labels.Where(l => reads.Any(r => r.Label == l)))
            output.WriteLine($"{label,-16}{string.Concat(tiers.Select(t => $"{reads.Count(r => r.Label == label && r.Reading.Tier == t),11}"))}");
    }

    private static void Figures(List<Read> reads, TextWriter output)
    {
        output.WriteLine($"\n{"group",-22}{"emergency read so",34}{"urgent or more kept",34}{"ordinary raised to urgent+",34}");
        foreach (var group in reads.SelectMany(r => r.Groups).Distinct().Order(StringComparer.Ordinal))
        {
            var here = reads.Where(r => r.Groups.Contains(group)).ToArray();
            var emergency = here.Where(r => r.Least == Tier.Emergency).ToArray();
            var heavy = here.Where(r => r.Least >= Tier.Urgent).ToArray();
            var ordinary = here.Where(Ordinary).ToArray();
            output.WriteLine($"{group,-22}{Share(emergency, r => r.Reading.Tier == Tier.Emergency),34}{Share(heavy, r => r.Reading.Tier >= Tier.Urgent),34}{Share(ordinary, r => r.Reading.Tier >= Tier.Urgent),34}");
        }
    }

    private static bool Ordinary(Read read) => read.Label is "routine" or "admin" or "unrelated";

    private static string Share(Read[] of, Func<Read, bool> hit)
    {
        if (of.Length == 0) return "-";
        var hits = of.Count(hit);
        var (low, high) = Bounds(hits, of.Length);
        return string.Create(CultureInfo.InvariantCulture, $"{hits}/{of.Length} {100.0 * hits / of.Length:0.00}% ({100 * low:0.00}-{100 * high:0.00})");
    }

    private static string Listed(Read r) =>
        $"  {r.Id}: {r.Label} read as {ReadCommand.Word(r.Reading.Tier)} [{string.Join(' ', r.Reading.Clues.Select(c => $"{c.ConceptId}:{c.Status}:{ReadCommand.Word(c.Tier)}"))}|{string.Join(", ", r.Reading.Floors)}] {r.Text.ReplaceLineEndings(" ")}";
}
