using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Testing;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Treatment;

public sealed class Safety_prompts
{
    private static readonly SafetyRules Rules = ContentLibrary.Load(ContentLibrary.Folder).Safety;

    private static Deposit Of(ProductClass product, Region region = Region.Chin, Side side = Side.Left, decimal amount = 1) => new(region, side, product, amount);

    private static string For(params Deposit[] deposits) => string.Join('\n', Rules.For(deposits).Select(p => p.Says));

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

    [Theory]
    [Source("S01 as quoted in the clinical evidence pack, section 5a", at: "protocol: at most 1.5 mL per side at a touch-up, 3 mL at a first session and at a retreatment")]
    [InlineData(1.5, true, "")]
    [InlineData(1.51, true, "right jawline adds up to 1.51 mL: more than the 1.5 mL")]
    [InlineData(3.5, true, "right jawline adds up to 3.50 mL: more than the 1.5 mL")]
    [InlineData(2.9, false, "")]
    public void At_a_touch_up_half_as_much_of_a_side_is_said_and_only_that(double ml, bool touchUp, string said)
    {
        var prompts = Rules.For([Of(ProductClass.CaHAFiller, Region.JawAngle, Side.Right, (decimal)ml - 1), Of(ProductClass.CaHAFiller, Region.PreJowl, Side.Right), Of(ProductClass.CaHAFiller, Region.JawBody)], touchUp).Where(p => p.OverLimit);
        if (said.Length == 0) Assert.Empty(prompts);
        else Assert.Contains(said, Assert.Single(prompts).Says);
    }

    [Theory]
    [Source("S44 as quoted in the clinical evidence pack, section 5c", at: "total 26, 31 or 36 U by severity in phase 3")]
    [InlineData(18.0, false)]
    [InlineData(18.1, true)]
    public void More_units_for_the_neck_than_the_trial_used_are_said_both_sides_together(double left, bool said) =>
        Assert.Equal(said, For(Of(ProductClass.BotulinumToxinTypeA, Region.Platysma, Side.Left, (decimal)left), Of(ProductClass.BotulinumToxinTypeA, Region.Platysma, Side.Right, 18)).Contains("26, 31 or 36"));

    [Theory]
    [Source("M11 as quoted in the clinical evidence pack, section 5c, from memory, unchecked", at: "mentalis: 4 to 10 U in all")]
    [InlineData(10.0, false)]
    [InlineData(10.1, true)]
    public void More_units_for_the_chin_than_the_consensus_names_are_said(double units, bool said) =>
        Assert.Equal(said, For(Of(ProductClass.BotulinumToxinTypeA, amount: (decimal)units)).Contains("names 4 to 10 units"));

    [Theory]
    [InlineData(ProductClass.HAFiller, Region.Chin)]
    [InlineData(ProductClass.BotulinumToxinTypeA, Region.Platysma)]
    [InlineData(ProductClass.Prp, Region.JawBody)]
    public void What_may_have_changed_since_the_intake_is_asked_again_whatever_is_placed(ProductClass product, Region region) =>
        Assert.Contains("Ask again today", For(Of(product, region)));

    [Fact]
    public void Each_says_where_it_stands_and_without_a_deposit_there_is_none()
    {
        Assert.All(Rules.For([Of(ProductClass.CaHAFiller, Region.JawAngle, amount: 4), Of(ProductClass.BotulinumToxinTypeA)]), p => Assert.Matches("seen|memory|no source", p.Source));
        Assert.All(Rules.Kit, k => Assert.Matches("seen|memory", k.Source));
        Assert.Empty(Rules.For([]));
    }

    [Fact]
    public void Planned_and_used_stand_beside_each_other_by_region_side_and_class()
    {
        var compared = PlannedAndUsed.Of(
            [Of(ProductClass.CaHAFiller, Region.JawAngle, Side.Left, 0.75m), Of(ProductClass.CaHAFiller, Region.JawAngle, Side.Right, 0.75m)],
            [Of(ProductClass.CaHAFiller, Region.JawAngle, Side.Left, 0.5m), Of(ProductClass.CaHAFiller, Region.JawAngle, Side.Left, 0.5m), Of(ProductClass.HAFiller, Region.Chin, Side.Midline, 0.2m)]);
        Assert.Equal([(0.75m, 1m, 0.25m), (0.75m, null, -0.75m), (null, 0.2m, 0.2m)], compared.Select(c => (c.Planned, c.Used, c.Difference)));
    }
}
