using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Commands;

/// <summary>What the engine says of one case, in the shape of a price vector's <c>expected</c>.</summary>
internal static class PriceFigures
{
    private static readonly double[] Levels = [0.01, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99];

    /// <param name="price">The case.</param>
    /// <param name="levels">Quantiles as the vector writes them; null for the usual ones.</param>
    /// <param name="digits">Decimals of the currency.</param>
    internal static JsonObject Of(PriceCase price, IEnumerable<string>? levels = null, int digits = 2)
    {
        var engine = new PriceEngine(price);
        var mixture = new PriceMixture([(1, engine)]);
        var total = mixture.Total;
        long low = total.Quantile(0.1), high = total.Quantile(0.9), step = MoneyStep.For(low, high, digits, goesOn: false);
        var (from, to) = MoneyStep.Outwards(low, high, step);
        var figures = new JsonObject
        {
            ["mean"] = total.Mean,
            ["sd"] = Math.Sqrt(Math.Max(0, total.Variance)),
            ["quantiles"] = levels is null ? Quantiles(total.Quantile) : QuantilesAt(levels, total.Quantile),
            ["range8in10"] = new JsonArray(low, high),
            ["roundedOut"] = new JsonArray(from, to),
            ["moneyStep"] = step,
            ["massInsideRoundedRange"] = total.Inside(from, to),
            ["syringesFirstVisit"] = new JsonObject(price.Products.Select((p, i) => KeyValuePair.Create(p.Id, (JsonNode?)Numbers(engine.FirstVisitUnits(i))))),
            ["priceAtoms"] = Atoms(total.Atoms),
            ["varianceShares"] = Named(Shares(mixture)),
            ["expectedWidth8in10IfKnown"] = Named(mixture.Widths()),
            ["expectedIntervalScoreIfKnown"] = Named(mixture.Scores()),
        };
        if (!(total.Variance > PriceMixture.Certain)) figures["says"] = "This total is certain: nothing in it is open, so there is no width to share out and every share is 0.";
        return figures;
    }

    internal static JsonObject Quantiles(Func<double, long> of) => new(Levels.Select(l => KeyValuePair.Create(l.ToString(CultureInfo.InvariantCulture), (JsonNode?)JsonValue.Create(of(l)))));

    private static JsonObject QuantilesAt(IEnumerable<string> levels, Func<double, long> of) => new(levels
        .Where(l => double.TryParse(l, NumberStyles.Float, CultureInfo.InvariantCulture, out var level) && level is >= 0 and <= 1)
        .Select(l => KeyValuePair.Create(l, (JsonNode?)JsonValue.Create(of(double.Parse(l, CultureInfo.InvariantCulture))))));

    // A total that is certain has nothing to share out.
    private static IEnumerable<KeyValuePair<string, double>> Shares(PriceMixture mixture)
    {
        var shares = mixture.Shares();
        return ((string[])["laxity", "bone", "asymmetry", "clinicRecords", "secondVisit", "toxin", "sessions", "onlyWhenTreating"]).Select(id => KeyValuePair.Create(id, shares.GetValueOrDefault(id)));
    }

    internal static JsonArray Atoms(IEnumerable<(long Total, double Probability)> atoms) => new([.. atoms.Select(a => new JsonArray(a.Total, a.Probability))]);

    private static JsonArray Numbers(double[] values) => new([.. values.Select(v => JsonValue.Create(v))]);

    private static JsonObject Named(IEnumerable<KeyValuePair<string, double>> values) => new(values.Select(v => KeyValuePair.Create(v.Key, (JsonNode?)JsonValue.Create(v.Value))));
}
