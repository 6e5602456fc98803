using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Treatment;

public sealed class Signing_a_record
{
    private static readonly LocalDate Day = new(2026, 6, 1);
    private static readonly Instant Signed = Instant.FromUtc(2026, 6, 1, 16, 0);

    private static readonly Placement Filler = new(
        Region.JawAngle, Side.Left, Volume.OfMl(1.5m), null, Plane.Supraperiosteal, "25 G cannula", "Demo CaHA 1.5 mL", ProductClass.CaHAFiller, "L1", Day);

    private static readonly Placement Toxin = Filler with
    {
        Region = Region.Platysma, Plane = Plane.Intramuscular, ProductClass = ProductClass.BotulinumToxinTypeA, Volume = null, Units = 12.5m,
    };

    [Fact]
    public void Keeps_everything_given_on_the_packs_last_day()
    {
        var record = Assert.IsType<TreatmentRecord.Outcome.Made>(TreatmentRecord.Sign(Day, Day, Signed, [Filler, Toxin])).Record;
        Assert.Equal([Filler, Toxin], record.Placements);
        Assert.Equal((Day, Signed), (record.TreatedOn, record.Signed));
    }

    [Fact]
    public void Refuses_a_record_that_tells_of_nothing() =>
        Assert.Equal([new Refusal(RefusalReason.NoPlacement, null)], Refused(Day));

    [Fact]
    public void Keeps_a_treatment_that_was_stopped_before_the_first_deposit_when_an_event_or_what_was_drawn_up_is_told()
    {
        Assert.Empty(Assert.IsType<TreatmentRecord.Outcome.Made>(TreatmentRecord.Sign(Day, Day, Signed, [], events: "Fainted.")).Record.Placements);
        Assert.Empty(Assert.IsType<TreatmentRecord.Outcome.Made>(TreatmentRecord.Sign(Day, Day, Signed, [], [new(ProductClass.CaHAFiller, "L1", 1.5m, null)])).Record.Placements);
        Assert.IsType<TreatmentRecord.Outcome.Refused>(TreatmentRecord.Sign(Day, Day, Signed, [], [], events: " "));
    }

    [Fact]
    public void Refuses_a_pack_that_expired_the_day_before() =>
        Assert.Equal([new Refusal(RefusalReason.Expired, 2)], Refused(Day, Filler, Filler with { Expiry = Day.PlusDays(-1) }));

    [Fact]
    public void Says_everything_that_is_wrong_at_once() =>
        Assert.Equal(
            [RefusalReason.LotMissing, RefusalReason.ProductMissing, RefusalReason.DeviceMissing],
            Refused(Day, Filler with { Lot = " ", ProductName = "", Device = "" }).Select(r => r.Why));

    public static TheoryData<string> Wrong_amounts => ["filler in units", "filler in both", "filler of nothing", "toxin in mL", "toxin without", "toxin of nothing", "toxin too fine"];

    [Theory]
    [MemberData(nameof(Wrong_amounts))]
    public void Refuses_an_amount_of_the_wrong_kind(string which)
    {
        var wrong = which switch
        {
            "filler in units" => Filler with { Volume = null, Units = 5 },
            "filler in both" => Filler with { Units = 5 },
            "filler of nothing" => Filler with { Volume = Volume.OfMl(0) },
            "toxin in mL" => Toxin with { Volume = Volume.OfMl(1), Units = null },
            "toxin without" => Toxin with { Units = null },
            "toxin of nothing" => Toxin with { Units = 0 },
            _ => Toxin with { Units = 2.55m },
        };
        Assert.Equal([new Refusal(RefusalReason.AmountWrong, 1)], Refused(Day, wrong));
    }

    [Fact]
    public void Refuses_filler_in_the_neck_bands() =>
        Assert.Equal([new Refusal(RefusalReason.RegionWrong, 1)], Refused(Day, Filler with { Region = Region.Platysma }));

    [Fact]
    public void Refuses_a_treatment_that_is_still_to_come() =>
        Assert.Equal([new Refusal(RefusalReason.TreatedAfterSigning, null)], Refused(Day.PlusDays(1), Filler with { Expiry = Day.PlusDays(9) }));

    [Theory]
    [InlineData("-0.01")]
    [InlineData("50.01")]
    [InlineData("0.005")]
    public void A_volume_is_made_only_in_hundredths_up_to_fifty(string ml) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Volume.OfMl(decimal.Parse(ml, System.Globalization.CultureInfo.InvariantCulture)));

    [Fact]
    public void Refuses_more_of_a_lot_than_was_drawn_up_also_when_its_lot_is_spelled_twice()
    {
        var two = new[] { Filler, Filler with { Lot = "l-1" } };
        Assert.Equal(
            [new Refusal(RefusalReason.MoreThanDrawnUp, null)],
            Assert.IsType<TreatmentRecord.Outcome.Refused>(TreatmentRecord.Sign(Day, Day, Signed, two, [new(ProductClass.CaHAFiller, "L1", 2.99m, null)])).Reasons);
        Assert.IsType<TreatmentRecord.Outcome.Made>(TreatmentRecord.Sign(Day, Day, Signed, two, [new(ProductClass.CaHAFiller, "L1", 1.5m, null), new(ProductClass.CaHAFiller, "L1", 1.5m, null)]));
    }

    [Fact]
    public void Says_what_is_left_of_every_lot_and_of_which_it_is_not_known() =>
        Assert.Equal(
            [new LotTotal(ProductClass.CaHAFiller, "L1", 1.5m, 3m), new LotTotal(ProductClass.BotulinumToxinTypeA, "L1", 12.5m, null)],
            LotTotal.Of([Filler, Toxin], [new(ProductClass.CaHAFiller, "l 1", 3m, null)]));

    [Theory]
    [InlineData(100, 2.5, 4)]
    [InlineData(50, 1, 5)]
    public void Says_how_many_units_a_tenth_of_a_millilitre_holds(int units, double diluent, double expected) =>
        Assert.Equal((decimal)expected, new DrawnUp(ProductClass.BotulinumToxinTypeA, "T1", units, (decimal)diluent).UnitsInTenthMl);

    [Fact]
    public void Wants_the_diluent_of_a_toxin()
    {
        Assert.Equal([RefusalReason.DiluentMissing], new DrawnUp(ProductClass.BotulinumToxinTypeA, "T1", 100, null).Against());
        Assert.Equal([RefusalReason.DiluentWrong], new DrawnUp(ProductClass.BotulinumToxinTypeA, "T1", 100, 0).Against());
        Assert.Equal([RefusalReason.LotMissing, RefusalReason.AmountWrong], new DrawnUp(ProductClass.CaHAFiller, "", 0, null).Against());
    }

    [Theory]
    [InlineData(Region.JawAngle, true)]
    [InlineData(Region.JawBody, true)]
    [InlineData(Region.PreJowl, true)]
    [InlineData(Region.Preauricular, true)]
    [InlineData(Region.Chin, false)]
    [InlineData(Region.LabiomentalFold, false)]
    public void Wants_left_or_right_where_nothing_lies_in_the_midline(Region region, bool refused)
    {
        Assert.Equal(refused, new PlanLineDraft(region, Side.Midline, ProductClass.CaHAFiller, 1).Against().Contains(RefusalReason.SideWrong));
        Assert.DoesNotContain(RefusalReason.SideWrong, new PlanLineDraft(region, Side.Left, ProductClass.CaHAFiller, 1).Against());
    }

    [Fact]
    public void Says_everything_that_is_missing_in_a_draft_at_once() =>
        Assert.Equal(
            [RefusalReason.RegionMissing, RefusalReason.SideMissing, RefusalReason.PlaneMissing, RefusalReason.ProductClassMissing, RefusalReason.ExpiryMissing, RefusalReason.LotMissing, RefusalReason.ProductMissing, RefusalReason.DeviceMissing],
            new PlacementDraft(null, null, null, null, null, "", "", null, "", null).Against(Day));

    private static IReadOnlyList<Refusal> Refused(LocalDate day, params Placement[] placements) =>
        Assert.IsType<TreatmentRecord.Outcome.Refused>(TreatmentRecord.Sign(day, Day, Signed, placements)).Reasons;
}
