using AftercarePortal.Clinical.Outcomes;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>One of several cases is true, for example one product or another. The examination is the same in all.</summary>
public sealed class PriceMixture
{
    private readonly IReadOnlyList<(double Weight, PriceEngine Engine)> _parts;

    /// <summary>Makes one; weights add up to 1 and all cases share the tables of the examination.</summary>
    public PriceMixture(IReadOnlyList<(double Weight, PriceEngine Engine)> parts)
    {
        _parts = parts;
        Total = parts is [var (_, only)] ? only.Total() : PriceDistribution.Mix(parts.Select(p => (p.Weight, p.Engine.Total())));
    }

    /// <summary>A variance at or below this is that of a certain total, minor units squared.</summary>
    public const double Certain = 1e-6;

    /// <summary>Distribution of the total.</summary>
    public PriceDistribution Total { get; }

    /// <summary>Share of the variance of the total each unknown answers for; they add up to 1. Empty when the total is certain.</summary>
    /// <remarks>Keys: <c>product</c>, <c>answersLeftOpen</c>, <c>laxity</c>, <c>bone</c>, <c>asymmetry</c>, <c>clinicRecords</c>, <c>secondVisit</c>, <c>toxin</c>, <c>sessions</c>, <c>onlyWhenTreating</c>.</remarks>
    public IReadOnlyDictionary<string, double> Shares()
    {
        if (!(Total.Variance > Certain)) return new Dictionary<string, double>();
        var tables = _parts.Select(p => (p.Weight, Table: p.Engine.Means())).ToList();
        var shares = VarianceShares.Of(
            [tables.Count, .. tables[0].Table.Sizes],
            tables.Count == 1 ? tables[0].Table.Probability : [.. tables.SelectMany(t => t.Table.Probability.Select(p => p * t.Weight))],
            tables.Count == 1 ? tables[0].Table.Mean : [.. tables.SelectMany(t => t.Table.Mean)]);
        var result = new Dictionary<string, double> { ["product"] = shares[0] / Total.Variance };
        for (var i = 1; i < shares.Length; i++) result[PriceEngine.Unknowns[i - 1]] = shares[i] / Total.Variance;
        result["onlyWhenTreating"] = 1 - shares.Sum() / Total.Variance;
        return result;
    }

    /// <summary>Expected interval score now, and once something is known. Knowing more never raises it.</summary>
    /// <remarks>Keys: <c>now</c>, <c>laxity</c>, <c>bone</c>, <c>asymmetry</c>, <c>exam</c>, <c>examAndPlan</c>.</remarks>
    public IReadOnlyDictionary<string, double> Scores() => IfKnown().ToDictionary(k => k.Key, k => k.Value.Score);

    /// <summary>Expected width of the 10-90 range, minor units. With whole syringes it can grow though more is known.</summary>
    public IReadOnlyDictionary<string, double> Widths() => IfKnown().ToDictionary(k => k.Key, k => k.Value.Width);

    /// <summary>Both, worked out once.</summary>
    /// <param name="promised">Share the range is to hold.</param>
    public IReadOnlyDictionary<string, (double Score, double Width)> IfKnown(double promised = PromisedShare.Usual)
    {
        var (lower, upper) = PromisedShare.Levels(promised);
        List<(int G, int B, int A, double Weight)> cells = [.. _parts[0].Engine.Cells()];
        (double Score, double Width) Of(PriceDistribution d) => (d.IntervalScore(promised), d.Quantile(upper) - d.Quantile(lower));
        static (double Score, double Width) Sum(IEnumerable<(double Weight, (double Score, double Width) Of)> parts) =>
            parts.Aggregate((Score: 0.0, Width: 0.0), (sum, p) => (sum.Score + p.Weight * p.Of.Score, sum.Width + p.Weight * p.Of.Width));
        (double, double) Known(Func<(int G, int B, int A, double Weight), object> by) =>
            Sum(cells.GroupBy(by).Select(group => (group.Sum(c => c.Weight), Of(Mix(engine => engine.TotalGiven([.. group]))))));
        return new Dictionary<string, (double, double)>
        {
            ["now"] = Of(Total),
            ["laxity"] = Known(c => c.G),
            ["bone"] = Known(c => c.B),
            ["asymmetry"] = Known(c => c.A),
            ["exam"] = Known(c => (c.G, c.B, c.A)),
            ["examAndPlan"] = Sum(cells.SelectMany(_ => _parts, (c, p) => (c.Weight * p.Weight, Of(p.Engine.FillersGiven(c))))),
        };
    }

    private PriceDistribution Mix(Func<PriceEngine, PriceDistribution> of) =>
        _parts is [var (_, only)] ? of(only) : PriceDistribution.Mix(_parts.Select(p => (p.Weight, of(p.Engine))));
}
