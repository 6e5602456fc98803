using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Testing;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Treatment;

public sealed class Safety_prompts
{
    private static Placement Of(ProductClass product, Region region = Region.Chin, Side side = Side.Left, decimal ml = 1) => new(
        region, side, product is ProductClass.BotulinumToxinTypeA ? null : Volume.OfMl(ml), product is ProductClass.BotulinumToxinTypeA ? 10 : null,
        Plane.Subcutaneous, "needle", "Demo product", product, "L1", new LocalDate(2027, 1, 1));

    private static string For(params Placement[] placements) => string.Join('\n', SafetyPrompt.For(placements).Select(p => p.Says));

    [Fact]
    public void The_artery_is_named_at_the_jaw_and_not_at_the_chin()
    {
        Assert.Contains("facial artery", For(Of(ProductClass.HAFiller, Region.JawBody)));
        Assert.DoesNotContain("facial artery", For(Of(ProductClass.HAFiller)));
    }

    [Theory]
    [InlineData(ProductClass.CaHAFiller, true)]
    [InlineData(ProductClass.Plla, true)]
    [InlineData(ProductClass.Prp, true)]
    [InlineData(ProductClass.HAFiller, false)]
    public void What_cannot_be_dissolved_is_said(ProductClass product, bool said) => Assert.Equal(said, For(Of(product)).Contains("does not dissolve"));

    [Theory]
    [Source("S01 as quoted in the clinical evidence pack, section 5a", at: "protocol: at most 3 mL per side at the first session")]
    [InlineData(3.0, false)]
    [InlineData(3.01, true)]
    public void More_of_a_side_than_the_trial_allowed_is_said(double ml, bool said) =>
        Assert.Equal(said, For(Of(ProductClass.CaHAFiller, Region.JawAngle, Side.Right, (decimal)ml - 1), Of(ProductClass.CaHAFiller, Region.JawBody, Side.Right), Of(ProductClass.CaHAFiller, Region.JawBody)).Contains("more than the 3 mL"));

    [Fact]
    public void Each_says_where_it_stands_and_without_a_placement_there_is_none()
    {
        Assert.All(SafetyPrompt.For([Of(ProductClass.CaHAFiller, Region.JawAngle, ml: 4), Of(ProductClass.BotulinumToxinTypeA)]), p => Assert.Matches("seen|memory", p.Source));
        Assert.Empty(SafetyPrompt.For([]));
    }
}
