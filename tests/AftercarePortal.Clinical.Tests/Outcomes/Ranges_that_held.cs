using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Tests.Pricing;
using AftercarePortal.Testing;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Outcomes;

public sealed class Ranges_that_held
{
    [Fact]
    [Source("scipy.stats beta quantiles, open data price-range/vectors.json", at: "helpers.clopperPearson")]
    public void Sixteen_of_twenty_may_truly_be_56_to_95_in_100()
    {
        var coverage = new RangeCoverage(16, 20, 0.8);
        Assert.Equal(0.563385997, coverage.Between!.Lower, 1e-8);
        Assert.Equal(0.942666003, coverage.Between.Upper, 1e-8);
        Assert.Contains("between 56 and 95 in 100", coverage.Says());
        Assert.Contains("few cases", coverage.Says());
    }

    [Fact]
    public void Fewer_than_chance_explains_is_said_aloud()
    {
        Assert.True(new RangeCoverage(60, 100, 0.8).TooFew);
        Assert.Contains("do not rely", new RangeCoverage(60, 100, 0.8).Says());
        Assert.False(new RangeCoverage(77, 100, 0.8).TooFew);
        Assert.Contains("nobody can say", new RangeCoverage(0, 0, 0.8).Says());
    }

    [Fact]
    public void A_range_is_only_ever_widened_and_only_from_thirty_quotes()
    {
        Assert.Equal(0.40, ConformalWidening.HalfMass([.. Enumerable.Repeat(0.5, 29)]));
        Assert.Equal(0.40, ConformalWidening.HalfMass([.. Enumerable.Repeat(0.1, 100)]));
        Assert.Equal(0.47, ConformalWidening.HalfMass([.. Enumerable.Repeat(0.47, 100)]));
    }

    [Fact]
    public void Whatever_comes_the_watched_share_keeps_its_bound()
    {
        foreach (var misses in new[] { Enumerable.Repeat(true, 300), Enumerable.Repeat(false, 300), Enumerable.Range(0, 300).Select(i => i % 5 == 0) })
        {
            // The promise is about misses that answer to the path: above 1 nothing is held, below 0 everything is.
            var now = 0.2;
            var told = new List<bool>();
            foreach (var wanted in misses)
            {
                told.Add(now >= 1 || (now > 0 && wanted));
                now = AdaptiveAlpha.Path(told)[^1];
            }

            Assert.True(Math.Abs(told.Average(m => m ? 1.0 : 0) - 0.2) <= AdaptiveAlpha.Bound(300));
        }
    }

    [Fact]
    public void What_the_examination_found_is_no_reason_any_more()
    {
        var nora = PricingContent.Nora();
        var range = Examined(nora, new(2, 0, 1));
        Assert.DoesNotContain(range.Reasons, r => r.Id is "laxity" or "bone" or "asymmetry");
        Assert.Equal(1, range.Reasons.Sum(r => r.Share));
        Assert.True(Examined(nora, new(3, 2, 0)).Quantile(0.5) >= Examined(nora, new(0, 0, 0)).Quantile(0.5));
    }

    [Fact]
    public void A_level_the_model_does_not_have_is_refused_by_name()
    {
        var outcome = Assert.IsType<PriceOutcome.CannotSayYet>(Outcome(PricingContent.Nora(), new(9, -1, 3)));
        Assert.Equal(3, outcome.Because.Count);
        Assert.Contains("laxity", outcome.Because[0]);
    }

    private static PriceRange Examined(Dictionary<string, string[]> given, ExamFindings exam) => Assert.IsType<PriceOutcome.Known>(Outcome(given, exam)).Range;

    private static PriceOutcome Outcome(Dictionary<string, string[]> given, ExamFindings exam)
    {
        var answers = Learning_from_cases.Told([.. given.Where(g => g.Key != "wish-regions").Select(g => (g.Key, g.Value[0]))]);
        var wishes = new Wishes(given["wish-regions"], "caha-filler", "clear", PricingContent.Today);
        return PricingContent.Model.RangeFor(wishes, answers, PricingContent.Prices, PricingContent.Model.ColdStart(), exam);
    }
}
