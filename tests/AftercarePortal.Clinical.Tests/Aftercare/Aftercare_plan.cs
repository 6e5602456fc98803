using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.ContentFiles;
using NodaTime;
using NodaTime.Text;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Aftercare;

public sealed class Aftercare_plan
{
    private static readonly DateTimeZone London = DateTimeZoneProviders.Tzdb["Europe/London"];
    private static readonly QuietHours Night = new(new(21, 0), new(8, 0));
    private static readonly ProductClass[] Both = [ProductClass.CaHAFiller, ProductClass.BotulinumToxinTypeA];

    public static TheoryData<string, int> Cases()
    {
        var cases = new TheoryData<string, int>();
        foreach (var name in new[] { "caha-filler", "botulinum-toxin" })
            for (var i = 0; i < AftercareContent.Load($"{name}.v1.cases.yaml").Root["cases"]!.AsArray().Count; i++) cases.Add(name, i);
        return cases;
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void Is_what_the_case_expects(string name, int number)
    {
        var row = AftercareContent.Load($"{name}.v1.cases.yaml").Root["cases"]![number]!;
        string Word(string key) => row[key]!.GetValue<string>();
        LocalTime Quiet(string key) => LocalTimePattern.CreateWithInvariantCulture("HH:mm").Parse(row["quiet"]![key]!.GetValue<string>()).Value;
        var given = new Given(
            LocalDatePattern.Iso.Parse(Word("treated")).Value, InstantPattern.ExtendedIso.Parse(Word("signed")).Value,
            [.. row["products"]!.AsArray().Select(p => ProductClassNames.Parse(p!.GetValue<string>())!.Value)]);
        var plan = AftercareContent.Sequences.PlanFor(given, [], DateTimeZoneProviders.Tzdb[Word("zone")], new(Quiet("from"), Quiet("to")));
        Assert.Equal(
            row["expect"]!.AsArray().Select(e => $"{e!["step"]} {e["due"]}"),
            plan.Steps.Select(s => $"{s.Step.Id} {InstantPattern.ExtendedIso.Format(s.DueAt)}"));
    }

    [Fact]
    public void Never_holds_two_texts_within_an_hour_nor_one_in_quiet_hours_nor_loses_a_step_whenever_it_was_signed()
    {
        var day = new LocalDate(2026, 3, 20);                          // the clocks go forward within its fortnight
        foreach (var products in new ProductClass[][] { Both, [Both[0]], [Both[1]], Enum.GetValues<ProductClass>() })
            for (var hours = 0; hours < 24 * 16; hours++)
            {
                var signed = Instant.FromUtc(2026, 3, 20, 0, 17) + Duration.FromHours(hours);
                var plan = AftercareContent.Plan(day, signed, London, Night, products);
                Assert.All(plan.Steps.Zip(plan.Steps.Skip(1)), pair => Assert.True(pair.Second.DueAt - pair.First.DueAt >= Duration.FromHours(1), $"{signed}"));
                Assert.All(plan.Steps, s => Assert.False(Night.Hold(s.DueAt.InZone(London).TimeOfDay)));
                Assert.All(plan.Steps, s => Assert.True(s.DueAt >= signed));
                var known = AftercareContent.Sequences.Sequences.Where(s => products.Contains(s.For)).SelectMany(s => s.Steps.Select(t => (s.For, t.Id))).Order();
                Assert.Equal(known, plan.Steps.Concat(plan.LeftOut.Select(l => l.Step)).Select(s => (s.For, s.Step.Id)).Order());
            }
    }

    [Fact]
    public void Of_one_day_only_one_product_class_speaks()
    {
        var plan = Plan(Both);
        Assert.All(
            plan.Steps.Where(s => s.Step.Kind is not StepKind.Appointment).GroupBy(s => s.DueAt.InZone(London).Date),
            day => Assert.Single(day.Select(s => s.For).Distinct()));
        Assert.Contains(plan.LeftOut, l => l is { Why: LeftOutReason.SaferStepThatDay, InsteadOfIt: not null });
    }

    [Fact]
    public void Gives_way_only_to_a_step_that_is_at_least_as_safe() =>
        Assert.All(Plan(Both).LeftOut, l => Assert.True(l.InsteadOfIt!.Step.Kind >= l.Step.Step.Kind));

    [Fact]
    public void Signed_days_late_still_sends_the_warning_list_at_once()
    {
        var signed = Instant.FromUtc(2026, 6, 7, 12, 0);
        var plan = AftercareContent.Plan(new(2026, 6, 1), signed, London, Night, ProductClass.CaHAFiller);
        Assert.Equal((StepKind.Safety, signed), (plan.Steps[0].Step.Kind, plan.Steps[0].DueAt));
        Assert.Equal(6, plan.LeftOut.Count(l => l.Why is LeftOutReason.DueBeforeSigning));
    }

    [Fact]
    public void Names_the_product_classes_no_sequence_speaks_of()
    {
        var fewer = new AftercareSequences([AftercareContent.Sequences.Sequences[0]], AftercareContent.Sequences.Rules);
        var plan = fewer.PlanFor(new(Day, Noon, [ProductClass.CaHAFiller, ProductClass.Plla]), [], London, Night);
        Assert.Equal([ProductClass.Plla], plan.Uncovered);
        Assert.All(plan.Steps, s => Assert.Equal(ProductClass.CaHAFiller, s.For));
    }

    [Fact]
    public void Names_the_signs_of_filler_and_of_toxin_while_both_are_fresh()
    {
        var fresh = Plan(Both).Steps.Where(s => s.Step.Kind is not StepKind.Appointment && s.DueAt < Noon + Duration.FromDays(28.5)).ToList();
        Assert.Equal(12, fresh.Count);
        Assert.All(fresh, s => Assert.Matches("(?i)pain.*weak.*swallow", AftercareContent.Texts.Template(s.TextId)));
        Assert.All(Plan(Both[0]).Steps, s => Assert.Equal(s.Step.TextId, s.TextId));
    }

    [Fact]
    public void Leaves_massage_out_where_another_product_asks_for_no_rubbing()
    {
        Assert.Equal(2, Plan(ProductClass.Plla).Steps.Count(s => s.TextId == "aftercare-plla-tip"));
        foreach (var other in new[] { ProductClass.CaHAFiller, ProductClass.HAFiller, ProductClass.BotulinumToxinTypeA })
        {
            var plan = Plan(ProductClass.Plla, other);
            Assert.DoesNotContain(plan.Steps, s => s.Step.Advises.Contains(new("rubbing", Avoid: false)));
            Assert.Equal(2, plan.LeftOut.Count(l => l.Why is LeftOutReason.OppositeAdvice && l.InsteadOfIt!.For == other));
        }
    }

    [Fact]
    public void Of_a_second_treatment_takes_in_what_the_first_still_has_to_say()
    {
        var second = new Given(Day.PlusDays(7), Noon + Duration.FromDays(7), [ProductClass.BotulinumToxinTypeA]);
        var plan = AftercareContent.Sequences.PlanFor(second, [new(Day, Noon, [ProductClass.CaHAFiller])], London, Night);
        Assert.All(plan.Steps, s => Assert.True(s.DueAt >= second.Signed));
        Assert.All(plan.Steps.Zip(plan.Steps.Skip(1)), pair => Assert.True(pair.Second.DueAt - pair.First.DueAt >= Duration.FromHours(1)));
        Assert.Equal("aftercare-mixed-warning", plan.Steps[0].TextId);
        Assert.Equal(180, Period.DaysBetween(Day, plan.Steps.Last(s => s.Step.Id == "photo-day-180").DueAt.InZone(London).Date));
    }

    [Fact]
    public void Of_the_same_product_given_again_counts_from_the_second_day()
    {
        var second = new Given(Day.PlusDays(30), Noon + Duration.FromDays(30), [ProductClass.CaHAFiller]);
        var plan = AftercareContent.Sequences.PlanFor(second, [new(Day, Noon, [ProductClass.CaHAFiller])], London, Night);
        Assert.Equal(AftercareContent.Sequences.Sequences[0].Steps.Count, plan.Steps.Count);
    }

    [Theory]
    [InlineData(6, MissedAction.Send)]
    [InlineData(7, MissedAction.Merge)]
    public void Says_what_becomes_of_a_missed_step(int hoursLate, MissedAction expected) =>
        Assert.Equal(expected, new WhenMissed(6, MissedAction.Merge).At(NodaConstants.UnixEpoch, NodaConstants.UnixEpoch + Duration.FromHours(hoursLate)));

    [Fact]
    public void Is_refused_by_the_reader_with_the_place_of_every_fault()
    {
        var doc = AftercareContent.Load("caha-filler.v1.yaml");
        doc.Root["product"] = "putty";
        var step = (JsonObject)doc.Root["steps"]![1]!;
        (step["day"], step["at"], step["kind"], step["sources"]) = (-1, "9:3", "chat", new JsonArray());
        doc.Root["steps"]![0]!["missed"]!["then"] = "skip";
        doc.Root["steps"]![3]!["id"] = "check-day-1";
        var errors = new List<ContentError>();
        Assert.Null(AftercareReader.Read(doc, errors));
        Assert.Equal(
            ["/product", "/steps/0/missed/then", "/steps/1/day", "/steps/1/at", "/steps/1/kind", "/steps/1/sources", "/steps/3/id"],
            errors.Select(e => e.Path));
        Assert.True(errors[1].Line > 10);
    }

    private static readonly LocalDate Day = new(2026, 6, 1);
    private static readonly Instant Noon = Instant.FromUtc(2026, 6, 1, 12, 0);

    private static AftercarePlan Plan(params ProductClass[] products) =>
        AftercareContent.Plan(Day, Noon, London, Night, products);
}
