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
        foreach (var name in AftercareContent.Names)
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
        var record = AftercareContent.Record(
            LocalDatePattern.Iso.Parse(Word("treated")).Value, InstantPattern.ExtendedIso.Parse(Word("signed")).Value,
            [.. row["products"]!.AsArray().Select(p => ProductClassNames.Parse(p!.GetValue<string>())!.Value)]);
        var plan = AftercareContent.Sequences.PlanFor(record, DateTimeZoneProviders.Tzdb[Word("zone")], new(Quiet("from"), Quiet("to")));
        Assert.Equal(
            row["expect"]!.AsArray().Select(e => $"{e!["step"]} {e["due"]}"),
            plan.Steps.Select(s => $"{s.Step.Id} {InstantPattern.ExtendedIso.Format(s.DueAt)}"));
    }

    [Fact]
    public void Never_holds_two_texts_within_an_hour_nor_one_in_quiet_hours_nor_loses_a_step_whenever_it_was_signed()
    {
        var day = new LocalDate(2026, 3, 20);                          // the clocks go forward within its fortnight
        foreach (var products in new[] { Both, [Both[0]], [Both[1]] })
            for (var hours = 0; hours < 24 * 16; hours++)
            {
                var signed = Instant.FromUtc(2026, 3, 20, 0, 17) + Duration.FromHours(hours);
                var plan = AftercareContent.Sequences.PlanFor(AftercareContent.Record(day, signed, products), London, Night);
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
        var plan = AftercareContent.Sequences.PlanFor(AftercareContent.Record(new(2026, 6, 1), signed, ProductClass.CaHAFiller), London, Night);
        Assert.Equal((StepKind.Safety, signed), (plan.Steps[0].Step.Kind, plan.Steps[0].DueAt));
        Assert.Equal(6, plan.LeftOut.Count(l => l.Why is LeftOutReason.DueBeforeSigning));
    }

    [Fact]
    public void Names_the_product_classes_no_sequence_speaks_of()
    {
        var plan = Plan(ProductClass.CaHAFiller, ProductClass.Plla);
        Assert.Equal([ProductClass.Plla], plan.Uncovered);
        Assert.NotEmpty(plan.Steps);
    }

    [Fact]
    public void Of_a_sequence_whose_product_was_not_given_is_empty() =>
        Assert.Empty(AftercareContent.Sequences.Sequences[1].PlanFor(AftercareContent.Record(new(2026, 6, 1), Instant.FromUtc(2026, 6, 1, 12, 0), ProductClass.CaHAFiller), London, Night).Steps);

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

    private static AftercarePlan Plan(params ProductClass[] products) =>
        AftercareContent.Sequences.PlanFor(AftercareContent.Record(new(2026, 6, 1), Instant.FromUtc(2026, 6, 1, 12, 0), products), London, Night);
}
