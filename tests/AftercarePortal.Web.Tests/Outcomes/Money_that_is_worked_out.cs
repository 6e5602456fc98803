using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Features.Outcomes;
using Xunit;

namespace AftercarePortal.Web.Tests.Outcomes;

/// <summary>The steps are those of a price range: 5, 10, 20, 50, 100 … whole units of which 8 fit (the method page of prices, judgement).</summary>
public sealed class Money_that_is_worked_out
{
    [Theory]
    [InlineData(123_456, "1,200 USD")]
    [InlineData(38_049, "380 USD")]
    [InlineData(4_321, "45 USD")]
    [InlineData(0, "0 USD")]
    public void A_mean_score_is_said_in_the_step_of_a_range_of_its_width(double minor, string said) => Assert.Equal(said, SaidMoney.Score(minor, "USD").ToString());

    [Theory]
    [InlineData(123_456, "1,235 USD")]
    [InlineData(120_001, "1,200 USD")]
    [InlineData(340_001, "3,405 USD")]
    [InlineData(119_999, "1,195 USD")]
    [InlineData(95_000, "950 USD")]
    public void What_a_course_came_to_is_said_without_cents_and_never_moves_onto_the_end_of_a_range_it_lies_outside(long minor, string said) =>
        Assert.Equal(said, SaidMoney.CameTo(new(minor, "USD"), new(new(120_000, "USD"), new(340_000, "USD"))).ToString());

    [Fact]
    public void Of_a_currency_without_minor_units_whole_units_are_counted() => Assert.Equal("123,000 JPY", SaidMoney.Score(123_456, "JPY").ToString());
}
