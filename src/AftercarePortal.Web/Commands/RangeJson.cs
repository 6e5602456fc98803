using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Commands;

/// <summary>A price range as the command prints it. Money in minor units.</summary>
internal static class RangeJson
{
    internal static JsonObject Of(PriceOutcome.CannotSayYet outcome) => new() { ["cannot_say_yet"] = Words(outcome.Because), ["says"] = outcome.ToString(), ["caution"] = PriceRange.Caution };

    internal static JsonObject Of(PriceRange range) => new()
    {
        ["model"] = range.Model.ToString(),
        ["prices"] = range.Prices.ToString(),
        ["cases"] = range.Cases,
        ["currency"] = range.AtMost.Currency,
        ["central"] = Span(range.Central),
        ["at_most"] = range.AtMost.Minor,
        ["promised"] = range.Promised,
        ["mass_inside"] = range.MassInside,
        ["says"] = Words([range.PromiseSays(), range.MassSays(), range.AtMostSays()]),
        ["lines"] = new JsonArray([.. range.Lines.Select(l => new JsonObject { ["id"] = l.Id, ["says"] = l.Says, ["span"] = Span(l.Span), ["middle"] = l.Middle.Minor })]),
        ["packages"] = new JsonArray([.. range.Packages.Select(p => new JsonObject
        {
            ["id"] = p.Id, ["name"] = new JsonObject(p.Names.Select(n => KeyValuePair.Create(n.Key, (JsonNode?)n.Value))), ["units"] = p.Units, ["price"] = p.Price.Minor, ["chance"] = Math.Round(p.Chance, 6),
        })]),
        ["lines_note"] = PriceRange.LinesNote,
        ["reasons"] = new JsonArray([.. range.Reasons.Select(r => new JsonObject { ["id"] = r.Id, ["share"] = r.Share, ["says"] = r.Says })]),
        ["narrows"] = new JsonArray([.. range.Narrowings.Select(n => new JsonObject { ["id"] = n.Id, ["percent"] = n.Percent, ["width"] = n.Width?.Minor, ["says"] = n.Says })]),
        ["left_open"] = Words(range.LeftOpen),
        ["notes"] = Words(range.Notes),
        ["quantiles"] = PriceFigures.Quantiles(range.Quantile),
        ["amount_percentiles"] = range.Amount is { } amount ? new JsonArray([.. amount.Ml.Select(ml => JsonValue.Create(Math.Round(ml, 4)))]) : null,
        ["widened_by"] = range.WidenedBy,
        ["bars"] = new JsonArray([.. range.Bars.Select(b => new JsonArray(b.From, b.To, b.Probability))]),
        ["atoms"] = PriceFigures.Atoms(range.Chances.Select(c => (c.Total, c.Probability))),
        ["caution"] = PriceRange.Caution,
    };

    private static JsonObject Span(MoneySpan span) => new() { ["from"] = span.From.Minor, ["to"] = span.To.Minor };

    private static JsonArray Words(IEnumerable<string> words) => new([.. words.Select(w => JsonValue.Create(w))]);
}
