using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Commands;

/// <summary>Compares one price vector with the engine, field by field.</summary>
internal static class PriceVectorCheck
{
    /// <summary>Largest difference allowed: probabilities and shares absolute, money in minor units, mean, sd, widths and scores relative.</summary>
    internal static IReadOnlyDictionary<string, double> Allowed { get; } = new Dictionary<string, double>
    {
        ["priceAtoms"] = 1e-4, ["mean"] = 1e-4, ["sd"] = 1e-3, ["quantiles"] = 0, ["range8in10"] = 0, ["roundedOut"] = 0, ["moneyStep"] = 0, ["massInsideRoundedRange"] = 1e-4,
        ["syringesFirstVisit"] = 1e-4, ["varianceShares"] = 1e-3, ["expectedWidth8in10IfKnown"] = 1e-3, ["expectedIntervalScoreIfKnown"] = 1e-3,
    };

    /// <summary>Largest difference by field.</summary>
    /// <param name="figures">What the engine says, in the shape of a vector's <c>expected</c>.</param>
    /// <param name="expected">The vector's.</param>
    /// <param name="skipped">Fields that are not compared.</param>
    /// <exception cref="FormatException">A field of <paramref name="expected"/> has another shape; says which.</exception>
    internal static Dictionary<string, double> Differences(JsonObject figures, JsonObject expected, List<string> skipped)
    {
        var differences = new Dictionary<string, double>();
        foreach (var (field, theirs) in expected)
        {
            if (figures[field] is not { } ours || !Allowed.ContainsKey(field)) skipped.Add(field);
            else differences[field] = field == "priceAtoms" ? Atoms(ours, theirs, field) : Apart(ours, theirs, field, field is "mean" or "sd" or "expectedWidth8in10IfKnown" or "expectedIntervalScoreIfKnown", skipped);
        }

        return differences;
    }

    // Every total of either side counts: one that only we have is a difference too.
    private static double Atoms(JsonNode ours, JsonNode? theirs, string at)
    {
        var mine = Pairs(ours, at);
        var listed = Pairs(theirs, at);
        return mine.Keys.Union(listed.Keys).Select(money => Math.Abs(mine.GetValueOrDefault(money) - listed.GetValueOrDefault(money))).DefaultIfEmpty(0).Max();
    }

    private static Dictionary<double, double> Pairs(JsonNode? node, string at) =>
        (node as JsonArray ?? throw Wrong(at)).GroupBy(a => Number((a as JsonArray)?.ElementAtOrDefault(0), at)).ToDictionary(g => g.Key, g => g.Sum(a => Number((a as JsonArray)?.ElementAtOrDefault(1), at)));

    private static double Apart(JsonNode? ours, JsonNode? theirs, string at, bool relative, List<string> skipped)
    {
        switch (theirs)
        {
            case JsonObject many:
                // What we have no figure for is told, never taken as 0.
                skipped.AddRange(many.Select(p => p.Key).Where(key => (ours as JsonObject)?.ContainsKey(key) != true).Select(key => $"{at}.{key}"));
                return many.Where(p => (ours as JsonObject)?.ContainsKey(p.Key) == true).Select(p => Apart(ours![p.Key], p.Value, $"{at}.{p.Key}", relative, skipped)).DefaultIfEmpty(0).Max();
            case JsonArray list:
                // A vector lists the first counts only.
                return list.Select((n, i) => Apart(i < (ours as JsonArray)?.Count ? ours![i] : JsonValue.Create(0.0), n, $"{at}[{i}]", relative, skipped)).DefaultIfEmpty(0).Max();
            default:
                return Apart(Number(ours, at), Number(theirs, at), relative);
        }
    }

    private static double Apart(double ours, double theirs, bool relative) => Math.Abs(ours - theirs) / (relative ? Math.Max(1, Math.Abs(theirs)) : 1);

    private static double Number(JsonNode? node, string at) =>
        node is JsonValue && double.TryParse(node.ToJsonString(), NumberStyles.Float, CultureInfo.InvariantCulture, out var number) ? number : throw Wrong(at);

    private static FormatException Wrong(string at) => new($"expected.{at}: this has not the shape of a price vector");
}
