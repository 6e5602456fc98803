using AftercarePortal.Clinical.Outcomes;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Outcomes;

public sealed class Reports_of_ranges
{
    private static ForecastCase Case(int day, double actual, double place) => new(new LocalDate(2031, 1, 1).PlusDays(day), 1, 3, actual, place, place);

    [Fact]
    public void Coverage_score_places_and_periods_are_of_the_same_cases()
    {
        // Eleven held in the middle, one a full mL above: width 2 and a penalty of 10.
        var report = ForecastReport.Of([.. Enumerable.Range(0, 11).Select(i => Case(i, 2, 0.55)), Case(11, 4, 0.995)]);
        Assert.Equal((11, 12), (report.Coverage.Held, report.Coverage.Of));
        Assert.Equal((11 * 2 + 12) / 12.0, report.MeanScore, 1e-12);
        Assert.Equal(11 / 12.0, report.Places[5], 1e-12);
        Assert.Equal(1 / 12.0, report.Places[9], 1e-12);
        Assert.Equal([(10, 10, 2.0), (2, 1, 7.0)], report.Periods.Select(p => (p.Cases, p.Held, p.MeanScore)));
    }

    [Fact]
    public void The_order_of_cases_changes_nothing()
    {
        ForecastCase[] cases = [.. Enumerable.Range(0, 25).Select(i => Case(i / 2, 1 + i % 5, i % 10 / 10.0 + 0.05))];
        var (one, other) = (ForecastReport.Of(cases), ForecastReport.Of(cases.Reverse()));
        Assert.Equal(one.Periods, other.Periods);
        Assert.Equal(one.Places, other.Places);
        Assert.Equal(one.Drift, other.Drift);
    }

    [Fact]
    public void Without_a_case_nothing_is_claimed()
    {
        var report = ForecastReport.Of([]);
        Assert.Null(report.Coverage.Between);
        Assert.Empty(report.Periods);
        Assert.Contains("Too few cases", report.Drift.Says(), StringComparison.Ordinal);
        Assert.Contains("Not switched on: 0 of 30", WideningState.Of([]).Says(), StringComparison.Ordinal);
    }

    [Fact]
    public void Drift_is_called_only_beyond_chance_and_with_ten_cases()
    {
        Assert.False(Drift.Of([.. Enumerable.Repeat(0.95, 9)]).Seen);
        Assert.True(Drift.Of([.. Enumerable.Repeat(0.95, 10)]).Seen);
        // Old cases do not count: twenty latest lie in the middle.
        Assert.False(Drift.Of([.. Enumerable.Repeat(0.95, 40), .. Enumerable.Repeat(0.5, 20)]).Seen);
        Assert.Contains("more came than was expected: on average at place 95 of 100", Drift.Of([.. Enumerable.Repeat(0.95, 20)]).Says(), StringComparison.Ordinal);
        Assert.Contains("less came", Drift.Of([.. Enumerable.Repeat(0.05, 20)]).Says(), StringComparison.Ordinal);
    }

    [Fact]
    public void The_limit_of_drift_is_passed_by_chance_about_once_in_a_hundred_times()
    {
        var chance = new Random(20310514);      // seed
        var called = Enumerable.Range(0, 20_000).Count(_ => Drift.Of([.. Enumerable.Range(0, 20).Select(_ => chance.NextDouble())]).Seen);
        Assert.InRange(called / 20_000.0, 0.005, 0.013);
    }

    [Fact]
    public void Widening_is_switched_on_by_thirty_quotes_and_never_narrows()
    {
        Assert.Contains("Not switched on: 29 of 30", WideningState.Of([.. Enumerable.Repeat(0.49, 29)]).Says(), StringComparison.Ordinal);
        Assert.Contains("nothing has to be widened", WideningState.Of([.. Enumerable.Repeat(0.1, 30)]).Says(), StringComparison.Ordinal);
        Assert.Contains("from level 4 to 96 of 100", WideningState.Of([.. Enumerable.Repeat(0.455, 30)]).Says(), StringComparison.Ordinal);
    }

    [Fact]
    public void Each_range_is_judged_by_the_share_it_promised()
    {
        var report = ForecastReport.Of([Case(0, 4, 0.99), Case(1, 4, 0.99) with { Promised = 0.5 }]);
        Assert.Equal(0.65, report.Coverage.Promised, 1e-12);
        Assert.Equal([0.5, 0.8], report.Promises);
        // Width 2 and one mL above: ten times for 8 in 10, four times for 5 in 10.
        Assert.Equal((12 + 6) / 2.0, report.MeanScore, 1e-12);
    }

    [Fact]
    public void The_rule_of_widening_follows_the_promise()
    {
        double[] scores = [.. Enumerable.Range(0, 40).Select(i => i < 34 ? 0.3 : 0.44)];
        Assert.Equal(46, Calibration.OfEach(scores).Count);
        Assert.All(Calibration.OfEach(scores), c => Assert.Equal(Calibration.Of(scores, c.Promised), c));
        Assert.Contains("from level 20 to 80 of 100 instead of 25 to 75", WideningState.Of(Calibration.Of(scores, 0.5)).Says(), StringComparison.Ordinal);
        Assert.Contains("stay at 10 and 90", WideningState.Of(Calibration.Of(scores, 0.8)).Says(), StringComparison.Ordinal);
        Assert.Contains("stay at 2.5 and 97.5", WideningState.Of(Calibration.Of(scores, 0.95)).Says(), StringComparison.Ordinal);
        Assert.Contains("for 85 in 100 to hold", WideningState.Of(Calibration.Of(scores, 0.85)).Rule, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => Calibration.Of([], 0.96));
    }
}
