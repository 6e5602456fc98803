using System.Globalization;
using AftercarePortal.Clinical.Outcomes;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>The parts of a total.</summary>
internal sealed class PriceLines(PriceModel model, PriceList prices, IReadOnlyList<(string? Code, double Weight, PriceCase Case, PriceEngine Engine)> parts, double promised)
{
    /// <summary>One line each, with its part in the most likely way to this total.</summary>
    public List<PriceLine> Of(long middle)
    {
        var (lower, upper) = PromisedShare.Levels(promised);
        var lines = new List<PriceLine>();
        var ways = parts.Select(p => (p.Code, Way: p.Engine.MostLikelyWay(middle), p.Weight)).Where(p => p.Way is not null).MaxBy(p => p.Way!.Value.Probability * p.Weight);
        var way = ways.Way!.Value;
        foreach (var (code, _, price, engine) in parts)
        {
            if (code is null) continue;
            var units = engine.FirstVisitUnits(0);
            var says = Words("filler").Replace("{product}", Product(code), StringComparison.Ordinal)
                .Replace("{unit}", price.Products[0].Price.UnitMl.ToString("0.###", CultureInfo.InvariantCulture), StringComparison.Ordinal)
                .Replace("{count}", Count(At(units, lower), At(units, upper)), StringComparison.Ordinal);
            Add("filler", says, engine.FillerLine(0), code == ways.Code ? way.First : 0);
        }

        if (parts.Any(p => p.Code is not null) && model.SecondVisit.Probability > 0)
            Add("second-visit", Words("second-visit").Replace("{chance}", $"{Math.Round(100 * model.SecondVisit.Probability)}", StringComparison.Ordinal), Mix(e => e.SecondVisitLine()), way.Second);
        if (Mix(e => e.ToxinLine()) is { Variance: > 0 } toxin) Add("toxin", Words("toxin"), toxin, way.Toxin);
        if (Mix(e => e.SessionLine()) is { Variance: > 0 } sessions) Add("sessions", Words("sessions"), sessions, way.Sessions);
        if (parts[0].Case is { Fee: > 0 } fixedFee)
        {
            var fee = fixedFee.Taxed(fixedFee.Fee);
            lines.Add(new("fee", Words("fee"), new(Money(fee), Money(fee)), Money(fee)));
        }

        return lines;

        void Add(string id, string says, PriceDistribution line, long part) => lines.Add(new(id, says, new(Money(line.Quantile(lower)), Money(line.Quantile(upper))), Money(part)));
    }

    private string Words(string id) => model.Words.Lines[id];

    private Money Money(long minor) => new(minor, prices.Currency);

    private PriceDistribution Mix(Func<PriceEngine, PriceDistribution> of) => PriceDistribution.Mix(parts.Select(p => (p.Weight, of(p.Engine))));

    private static int At(double[] units, double level)
    {
        double below = 0;
        for (var n = 0; n < units.Length; n++)
            if ((below += units[n]) >= level - 1e-12) return n;
        return units.Length - 1;
    }

    private string Count(int low, int high) => low == high ? $"{low}" : $"{low} {model.Words.CountWord} {high}";

    private string Product(string code) =>
        parts.Count > 1 ? model.Words.IfChosen.Replace("{product}", model.Words.Products[code], StringComparison.Ordinal) : model.Words.Products[code];
}
