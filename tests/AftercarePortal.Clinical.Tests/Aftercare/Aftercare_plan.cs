using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Testing;
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
        Assert.Equal(8, plan.LeftOut.Count(l => l.Why is LeftOutReason.DueBeforeSigning));
    }

    public static TheoryData<string> Mixes => ["CaHA filler", "HA filler", "PLLA", "PRP", "botulinum toxin type A", "CaHA filler, botulinum toxin type A", "PRP, PLLA", "PRP, botulinum toxin type A", "CaHA filler, HA filler, PLLA, PRP, botulinum toxin type A"];

    [Theory]
    [Source("Clinical evidence pack, section 3g, judgement", at: "hour 2: warning list and on-call number")]
    [MemberData(nameof(Mixes))]
    public void Holds_the_warning_list_once_at_signing_at_whatever_hour_and_not_again_soon_after(string mix)
    {
        ProductClass[] products = [.. mix.Split(", ").Select(name => ProductClassNames.Parse(name)!.Value)];
        for (var time = new LocalTime(8, 0); time < new LocalTime(21, 0) && time >= new LocalTime(8, 0); time = time.PlusMinutes(10))
        {
            var signed = (Day + time).InZoneStrictly(London).ToInstant();
            var plan = AftercareContent.Plan(Day, signed, London, Night, products);
            var expected = time < new LocalTime(8, 30) ? (Day + new LocalTime(8, 30)).InZoneStrictly(London).ToInstant() : signed;
            Assert.True((StepKind.Safety, expected) == (plan.Steps[0].Step.Kind, plan.Steps[0].DueAt), $"signed at {time}: {plan.Steps[0].Step.Id} {plan.Steps[0].DueAt}");
            var lists = plan.Steps.Where(s => s.Step.Kind is StepKind.Safety && s.DueAt < signed + Duration.FromDays(1)).ToList();
            Assert.All(lists.Zip(lists.Skip(1)), pair => Assert.True(pair.Second.DueAt - pair.First.DueAt >= Duration.FromHours(3), $"signed at {time}"));
            // What names the signs in the evening stays, beside the list of the day.
            Assert.Contains(plan.Steps.Concat(plan.LeftOut.Select(l => l.InsteadOfIt).OfType<PlannedStep>()), s => s.Step.Kind >= StepKind.CheckIn && s.DueAt >= (Day + new LocalTime(18, 0)).InZoneStrictly(London).ToInstant());
        }
    }

    [Theory]
    [Source("Clinical evidence pack, sections 3a, 3e and 3f, mostly from memory", at: "day 0: avoid pressing, heat, alcohol, hard exercise; after PRP no make-up for 12 to 24 h")]
    [InlineData(9, 0, "2026-06-01T19:15")]
    [InlineData(17, 30, "2026-06-01T19:15")]
    [InlineData(18, 10, "2026-06-01T19:15")]
    [InlineData(18, 30, "2026-06-02T13:00")]
    [InlineData(20, 40, "2026-06-02T13:00")]
    public void Gives_the_advice_of_the_first_day_that_evening_or_when_it_must_give_way_the_next_day_and_once(int hour, int minute, string due)
    {
        foreach (var product in new[] { ProductClass.CaHAFiller, ProductClass.HAFiller, ProductClass.Prp })
        {
            var plan = AftercareContent.Plan(Day, (Day + new LocalTime(hour, minute)).InZoneStrictly(London).ToInstant(), London, Night, product);
            var tip = Assert.Single(plan.Steps, s => s.Step.Kind is StepKind.Tip && s.Step.Day < 3);
            Assert.Equal(due, tip.DueAt.InZone(London).ToString("uuuu-MM-dd'T'HH:mm", null));
            Assert.Matches("(?i)press|make-up", AftercareContent.Texts.Template(tip.TextId));
            Assert.All(["heat", "alcohol", "hard sport"], word => Assert.Contains(word, AftercareContent.Texts.Template(tip.TextId)));
            Assert.Matches("apriete|maquillaje", AftercareContent.Spanish.Template(tip.TextId));
            Assert.All(["calor", "alcohol", "deporte"], word => Assert.Contains(word, AftercareContent.Spanish.Template(tip.TextId)));
        }
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
        Assert.Equal(13, fresh.Count);
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

    [Theory]
    [InlineData(ProductClass.BotulinumToxinTypeA)]
    [InlineData(ProductClass.CaHAFiller)]
    public void Leaves_massage_out_also_when_the_text_that_said_no_rubbing_has_gone_out_already(ProductClass earlier)
    {
        var second = new Given(Day.PlusDays(2), Noon + Duration.FromDays(2), [ProductClass.Plla]);
        var plan = AftercareContent.Sequences.PlanFor(second, [new(Day, Noon, [earlier])], London, Night);
        Assert.DoesNotContain(plan.Steps, s => s.Step.Advises.Contains(new("rubbing", Avoid: false)));
        Assert.Contains(plan.LeftOut, l => l.Why is LeftOutReason.OppositeAdvice && l.InsteadOfIt!.For == earlier);

        var weeksLater = AftercareContent.Sequences.PlanFor(new(Day.PlusDays(30), Noon + Duration.FromDays(30), [ProductClass.Plla]), [new(Day, Noon, [earlier])], London, Night);
        Assert.Contains(weeksLater.Steps, s => s.Step.Advises.Contains(new("rubbing", Avoid: false)));
    }

    [Theory]
    [InlineData(ProductClass.BotulinumToxinTypeA)]
    [InlineData(ProductClass.CaHAFiller)]
    [InlineData(ProductClass.HAFiller)]
    public void Never_says_no_rubbing_in_the_place_of_a_text_that_asks_for_massage(ProductClass earlier)
    {
        for (var days = 0; days <= 40; days++)
        {
            var plan = AftercareContent.Sequences.PlanFor(new(Day.PlusDays(days), Noon + Duration.FromDays(days), [ProductClass.Plla]), [new(Day, Noon, [earlier])], London, Night);
            Assert.All(plan.Steps.Where(s => s.Step.Advises.Contains(new("rubbing", Avoid: false))), s => Assert.Equal("aftercare-plla-tip", s.TextId));
        }
    }

    [Theory]
    [InlineData(ProductClass.CaHAFiller)]
    [InlineData(ProductClass.HAFiller)]
    [InlineData(ProductClass.BotulinumToxinTypeA)]
    public void Of_a_touch_up_starts_every_warning_check_in_and_tip_anew_and_asks_for_no_visits(ProductClass product)
    {
        var whole = PlanOn(30, null, product);
        var touchUp = PlanOn(30, Day, product, (0, [product]));
        static bool Again(PlannedStep s) => s.Step.Kind is not StepKind.Appointment && s.Step.TextId != "aftercare-photo";
        Assert.Equal(whole.Steps.Where(Again).Select(s => (s.Step.Id, s.DueAt)), touchUp.Steps.Where(Again).Select(s => (s.Step.Id, s.DueAt)));
        Assert.Contains(touchUp.Steps, s => s.Step.Kind is StepKind.Safety);
        var visits = whole.Steps.Where(s => s.Step.Kind is StepKind.Appointment).Select(s => s.Step).ToList();
        Assert.Equal(visits.Where(v => v.Day > 30).Select(v => v.Id), touchUp.Steps.Where(s => s.Step.Kind is StepKind.Appointment).Select(s => s.Step.Id));
        Assert.Equal(visits.Where(v => v.Day < 30).Select(v => v.Id), touchUp.LeftOut.Where(l => l.Why is LeftOutReason.TouchUp).Select(l => l.Step.Step.Id));
    }

    [Theory]
    [InlineData(ProductClass.CaHAFiller)]
    [InlineData(ProductClass.Plla)]
    [InlineData(ProductClass.Prp)]
    public void Of_an_early_touch_up_still_asks_for_the_visits_the_first_treatment_asked_for(ProductClass product)
    {
        static IEnumerable<(string, LocalDate)> Visits(AftercarePlan plan) => plan.Steps.Where(s => s.Step.Kind is StepKind.Appointment).Select(s => (s.Step.Id, s.DueAt.InZone(London).Date));
        Assert.NotEmpty(Visits(PlanOn(0, null, product)));
        Assert.Equal(Visits(PlanOn(0, null, product)), Visits(PlanOn(7, Day, product, (0, [product]))));
    }

    [Theory]
    [InlineData(30, "90 180")]
    [InlineData(61, "90 180")]
    [InlineData(62, "180")]                   // the photo would come in the weeks in which the texts still name the signs
    [InlineData(91, "180")]
    [InlineData(170, "")]
    public void Of_a_touch_up_counts_the_days_of_photos_from_the_first_treatment(int later, string days)
    {
        var photos = PlanOn(later, Day, ProductClass.CaHAFiller, (0, [ProductClass.CaHAFiller])).Steps.Where(s => s.Step.TextId == "aftercare-photo");
        Assert.Equal(days, string.Join(' ', photos.Select(s => Period.DaysBetween(Day, s.DueAt.InZone(London).Date))));
    }

    [Fact]
    public void Of_a_class_that_a_touch_up_gives_for_the_first_time_asks_for_everything()
    {
        var plan = PlanOn(30, Day, ProductClass.BotulinumToxinTypeA, (0, [ProductClass.CaHAFiller]));
        Assert.Contains(plan.Steps, s => s is { For: ProductClass.BotulinumToxinTypeA, Step.Kind: StepKind.Appointment });
        Assert.DoesNotContain(plan.LeftOut, l => l.Why is LeftOutReason.TouchUp);
    }

    [Fact]
    public void Of_a_touch_up_on_the_day_itself_or_whose_treatment_is_not_known_asks_for_everything()
    {
        Assert.DoesNotContain(PlanOn(0, Day, ProductClass.CaHAFiller, (0, [ProductClass.CaHAFiller])).LeftOut, l => l.Why is LeftOutReason.TouchUp);
        Assert.DoesNotContain(PlanOn(30, Day, ProductClass.CaHAFiller).LeftOut, l => l.Why is LeftOutReason.TouchUp);
    }

    [Fact]
    public void Of_another_treatment_after_a_touch_up_asks_for_everything_again()
    {
        var first = new Given(Day, Noon, [ProductClass.CaHAFiller]);
        var touchUp = new Given(Day.PlusDays(30), Noon + Duration.FromDays(30), [ProductClass.CaHAFiller]) { TouchesUp = Day };
        var next = new Given(Day.PlusDays(60), Noon + Duration.FromDays(60), [ProductClass.CaHAFiller]);
        var plan = AftercareContent.Sequences.PlanFor(next, [first, touchUp], London, Night);
        Assert.Contains(plan.Steps, s => s.Step.Kind is StepKind.Appointment);
        Assert.Contains(plan.Steps, s => s.Step.TextId == "aftercare-photo" && s.DueAt.InZone(London).Date == Day.PlusDays(150));
    }

    private static AftercarePlan PlanOn(int later, LocalDate? touchesUp, ProductClass product, params (int Day, ProductClass[] Products)[] before) => AftercareContent.Sequences.PlanFor(
        new(Day.PlusDays(later), Noon + Duration.FromDays(later), [product]) { TouchesUp = touchesUp },
        [.. before.Select(b => new Given(Day.PlusDays(b.Day), Noon + Duration.FromDays(b.Day), b.Products))], London, Night);

    [Fact]
    public void Of_a_treatment_of_long_ago_that_is_written_down_late_texts_nobody_at_once()
    {
        var year = AftercareContent.Plan(Day, Noon + Duration.FromDays(365), London, Night, Both);
        Assert.Empty(year.Steps);
        Assert.Equal(Noon + Duration.FromDays(3), AftercareContent.Plan(Day, Noon + Duration.FromDays(3), London, Night, ProductClass.HAFiller).Steps[0].DueAt);
    }

    [Fact]
    public void What_was_said_already_makes_nothing_else_give_way()
    {
        var anew = Instant.FromUtc(2026, 6, 1, 14, 30);        // 15:30 in London, after the list at signing went out, before the one of the evening
        var given = new Given(Day, anew, [ProductClass.HAFiller]);
        var plain = AftercareContent.Sequences.PlanFor(given, [], London, Night);
        Assert.Equal(anew, plain.Steps[0].DueAt);
        var plan = AftercareContent.Sequences.PlanFor(given, [], London, Night, step => step.DueAt == anew);
        Assert.Equal((StepKind.Safety, Instant.FromUtc(2026, 6, 1, 17, 0)), (plan.Steps[0].Step.Kind, plan.Steps[0].DueAt));
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
        Assert.Equal(AftercareContent.Sequences.Sequences[0].Steps.Select(s => s.Id).Except(["tip-day-1"]), plan.Steps.Select(s => s.Step.Id));
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
            ["/product", "/steps/0/missed/then", "/steps/1/day", "/steps/1/at", "/steps/1/kind", "/steps/1/sources", "/steps/4/id"],
            errors.Select(e => e.Path));
        Assert.True(errors[1].Line > 10);
    }

    private static readonly LocalDate Day = new(2026, 6, 1);
    private static readonly Instant Noon = Instant.FromUtc(2026, 6, 1, 12, 0);

    private static AftercarePlan Plan(params ProductClass[] products) =>
        AftercareContent.Plan(Day, Noon, London, Night, products);
}
