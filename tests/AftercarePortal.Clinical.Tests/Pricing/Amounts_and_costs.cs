using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Sources;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Amounts_and_costs
{
    private static readonly Wishes Jaw = new(["jaw-angle", "jaw-body"], "caha-filler", "clear", new LocalDate(2031, 5, 14));

    [Fact]
    public void What_is_expected_in_mL_agrees_with_what_is_expected_in_syringes()
    {
        var model = PricingContent.Model;
        var prices = new PriceList(model.Version, "USD", new Dictionary<string, ProductPrice> { ["caha-filler"] = new(0.1, 0, 100, 100) }, null, null, 0, 0);
        var all = AmountForecasts.Of(model, Jaw, Answers.None, model.ColdStart())[^1];
        // Billed by the tenth of a mL and one unit of money each, the filler line is the amount itself, rounded up.
        var range = Assert.IsType<PriceOutcome.Known>(model.RangeFor(Jaw, Answers.None, prices, model.ColdStart())).Range;
        var line = range.Lines.Single(l => l.Id == "filler").Span;
        Assert.InRange(line.From.Minor / 100.0 - all.Lower * 10, -0.05, 1.05);
        Assert.InRange(line.To.Minor / 100.0 - all.Upper * 10, -0.05, 1.05);
    }

    [Fact]
    public void Each_region_lies_below_all_together_and_an_examination_makes_the_forecast_narrower()
    {
        var model = PricingContent.Model;
        var before = AmountForecasts.Of(model, Jaw, Answers.None, model.ColdStart());
        Assert.Equal(["jaw-angle", "jaw-body", "all"], before.Select(f => f.Region));
        for (var i = 0; i < 99; i++) Assert.True(before[0].Ml[i] < before[2].Ml[i] && before[1].Ml[i] < before[2].Ml[i]);
        var after = AmountForecasts.Of(model, Jaw, Answers.None, model.ColdStart(), new ExamFindings(1, 0, 0))[^1];
        Assert.True(Math.Log(after.Upper / after.Lower) < Math.Log(before[2].Upper / before[2].Lower));
    }

    [Fact]
    public void A_wish_without_filler_has_no_amount() =>
        Assert.Empty(AmountForecasts.Of(PricingContent.Model, Jaw with { Regions = ["neck-bands"] }, Answers.None, PricingContent.Model.ColdStart()));

    [Theory]
    [InlineData(0.2, 1)]
    [InlineData(1.6, 1)]
    [InlineData(1.61, 2)]
    [InlineData(3.1, 2)]
    [InlineData(3.11, 3)]
    public void The_last_drop_opens_no_new_syringe(double ml, int units) => Assert.Equal(units, UsedCost.UnitsOf(new(1.5, 0.1, 60000, 60000), ml));

    private static readonly PriceList Some =
        new(new ContentVersion("some-prices", 1), "USD", new Dictionary<string, ProductPrice> { ["caha-filler"] = new(1.5, 0.1, 60000, 50000) }, 1200, 30000, 5001, 825);

    private static UsedCost.Visit Visit(double ml, double units, int opened = 0, string region = "jaw-body") =>
        new([new("caha-filler", new Dictionary<string, double> { ["One product"] = ml }, opened, [region])], units);

    [Fact]
    public void A_course_is_billed_visit_by_visit_with_tax_a_line()
    {
        // 60000+50000, 60000, 26 x 1200, 30000 and 5001, each with 8.25 percent rounded half up: 119075 + 64950 + 33774 + 32475 + 5414.
        Assert.Equal(new Money(255688, "USD"), UsedCost.Of(Some, [Visit(2.4, 25.5), Visit(0.8, 0)], 1));
        Assert.Null(UsedCost.Of(Some with { Session = null }, [Visit(2.4, 0)], 1));
        Assert.Null(UsedCost.Of(Some with { ToxinUnit = null }, [Visit(2.4, 1)], 0));
        Assert.Null(UsedCost.Of(Some, [new([new("ha-filler", new Dictionary<string, double> { ["Another"] = 1 }, 0, ["chin"])], 0)], 0));
    }

    [Fact]
    public void Two_half_used_syringes_of_two_products_are_two_and_so_are_two_that_were_opened()
    {
        UsedCost.Filler Filler(int opened, params (string Name, double Ml)[] products) => new("caha-filler", products.ToDictionary(p => p.Name, p => p.Ml), opened, ["chin"]);
        var price = Some.Fillers["caha-filler"];
        Assert.Equal(1, UsedCost.UnitsOf(price, Filler(0, ("One product", 1.4))));
        Assert.Equal(2, UsedCost.UnitsOf(price, Filler(0, ("One product", 0.7), ("Another", 0.7))));
        Assert.Equal(2, UsedCost.UnitsOf(price, Filler(2, ("One product", 1.4))));
        // Fewer written down than the amount needs: the amount stands.
        Assert.Equal(3, UsedCost.UnitsOf(price, Filler(1, ("One product", 4))));
        Assert.Equal(1, UsedCost.UnitsOf(price, Filler(0, ("One product", 1), ("Another", 0))));
    }

    [Fact]
    public void What_became_of_a_range_is_said_both_ways()
    {
        Assert.Equal("The examination narrowed the range by 25 percent, from 2,000 USD wide to 1,500 USD. Its middle moved up by 250 USD.", new RangeChange(200000, 150000, 25000, "USD").Says());
        Assert.Contains("made the range wider", new RangeChange(100000, 150000, 0, "USD").Says(), StringComparison.Ordinal);
    }

    [Fact]
    public void At_the_start_a_clinic_has_no_habit_and_everything_is_possible()
    {
        var habits = ClinicHabit.Of(PricingContent.Model, PricingContent.Model.ColdStart());
        // Sd 0.25 of level and region together: exp(1.2816 * 0.25) is 1.378.
        Assert.All(habits, h => Assert.Equal((0, -27, 38), (h.Percent, h.Low, h.High)));
    }
}
