namespace AftercarePortal.Clinical.Outcomes;

/// <summary>How a group of ranges did.</summary>
/// <param name="Coverage">How many held.</param>
/// <param name="Places">PIT histogram, ten bins; shares that add up to 1 when there is a case.</param>
/// <param name="MeanScore">Mean interval score in the ranges' unit, lower is better; 0 without a case.</param>
/// <param name="Periods">In order of days, tens of cases; the last may hold fewer.</param>
/// <param name="Drift">Of the latest cases.</param>
public sealed record ForecastReport(
    RangeCoverage Coverage, IReadOnlyList<double> Places, double MeanScore, IReadOnlyList<ScorePeriod> Periods, Drift Drift)
{
    /// <summary>Cases a period holds.</summary>
    public const int PeriodOf = 10;

    /// <summary>The shares that were promised, the smallest first.</summary>
    public IReadOnlyList<double> Promises { get; init; } = [];

    /// <summary>Works it out; the order of the cases does not matter.</summary>
    /// <param name="cases">Any number. Where they promised different shares, coverage is judged by their mean.</param>
    public static ForecastReport Of(IEnumerable<ForecastCase> cases)
    {
        List<ForecastCase> sorted = [.. cases.OrderBy(c => c.On).ThenBy(c => c.Actual).ThenBy(c => c.Lower)];
        return new(
            new(sorted.Count(c => c.Held), sorted.Count, sorted.Count == 0 ? PromisedShare.Usual : sorted.Average(c => c.Promised)), PitHistogram.Of([.. sorted.Select(c => (c.Below, c.UpTo))]), sorted.Count == 0 ? 0 : sorted.Average(c => c.Score),
            [.. sorted.Chunk(PeriodOf).Select(p => new ScorePeriod(p[0].On, p[^1].On, p.Length, p.Count(c => c.Held), p.Average(c => c.Score)))],
            Drift.Of([.. sorted.Select(c => c.Place)]))
        {
            Promises = [.. sorted.Select(c => c.Promised).Distinct().Order()],
        };
    }
}
