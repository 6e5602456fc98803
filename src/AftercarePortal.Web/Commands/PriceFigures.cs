using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Commands;

/// <summary>What the engine says of one case, in the shape of a price vector's <c>expected</c>.</summary>
internal static class PriceFigures
{
    private static readonly double[] Levels = [0.01, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99];

    internal static JsonObject Of(PriceCase price)
    {
        var engine = new PriceEngine(price);
        var mixture = new PriceMixture([(1, engine)]);
        var total = mixture.Total;
        long low = total.Quantile(0.1), high = total.Quantile(0.9), step = MoneyStep.For(low, high);
        var (from, to) = MoneyStep.Outwards(low, high, step);
        return new()
        {
            ["mean"] = total.Mean,
            ["sd"] = Math.Sqrt(Math.Max(0, total.Variance)),
            ["quantiles"] = Quantiles(total.Quantile),
            ["range8in10"] = new JsonArray(low, high),
            ["roundedOut"] = new JsonArray(from, to),
            ["moneyStep"] = step,
            ["massInsideRoundedRange"] = total.Inside(from, to),
            ["syringesFirstVisit"] = new JsonObject(price.Products.Select((p, i) => KeyValuePair.Create(p.Id, (JsonNode?)Numbers(engine.FirstVisitUnits(i))))),
            ["priceAtoms"] = Atoms(total.Atoms),
            ["varianceShares"] = Named(mixture.Shares().Where(s => s.Key is not ("product" or "answersLeftOpen"))),
            ["expectedWidth8in10IfKnown"] = Named(mixture.Widths()),
            ["expectedIntervalScoreIfKnown"] = Named(mixture.Scores()),
        };
    }

    internal static JsonObject Quantiles(Func<double, long> of) => new(Levels.Select(l => KeyValuePair.Create(l.ToString(CultureInfo.InvariantCulture), (JsonNode?)JsonValue.Create(of(l)))));

    internal static JsonArray Atoms(IEnumerable<(long Total, double Probability)> atoms) => new([.. atoms.Select(a => new JsonArray(a.Total, a.Probability))]);

    private static JsonArray Numbers(double[] values) => new([.. values.Select(v => JsonValue.Create(v))]);

    private static JsonObject Named(IEnumerable<KeyValuePair<string, double>> values) => new(values.Select(v => KeyValuePair.Create(v.Key, (JsonNode?)JsonValue.Create(v.Value))));
}
