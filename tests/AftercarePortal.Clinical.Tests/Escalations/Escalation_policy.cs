using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Escalations;

public sealed class Escalation_policy
{
    private static readonly Instant Now = Instant.FromUtc(2026, 6, 1, 23, 40);
    private static readonly EscalationPolicy Policy = EscalationContent.Policy;

    public static TheoryData<int> Cases => [.. Enumerable.Range(0, EscalationContent.Load("policy.v1.cases.yaml").Root["cases"]!.AsArray().Count)];

    [Theory]
    [MemberData(nameof(Cases))]
    public void Pages_at_the_minutes_the_case_expects(int number)
    {
        var row = EscalationContent.Load("policy.v1.cases.yaml").Root["cases"]![number]!;
        var tier = Enum.GetValues<Tier>().Single(t => t.Name().Replace(' ', '-') == row["tier"]!.GetValue<string>());
        var people = new[] { "a", "b", "c" }.Take(row["people"]!.GetValue<int>()).ToArray();
        var expected = row["pages"]!.AsArray().Select(p => p!.GetValue<string>()).ToList();

        var paged = new List<string>();
        var told = new List<string>();
        var at = Now;
        Happening happening = new Happening.Reported(Raised: true);
        while (told.Count < Math.Max(expected.Count, 1))
        {
            var next = Policy.Next(Open(tier, [.. paged]), happening, new(people, ["a", "b", "c"]), at);
            if (next.Count == 0) break;
            var minute = (at - Now).TotalMinutes;
            switch (next[0])
            {
                case NextStep.Page page:
                    told.Add($"{minute} {page.Person}");
                    paged.Add(page.Person);
                    at = page.LookAgainAt;
                    break;
                case NextStep.PageEveryone everyone:
                    told.Add($"{minute} all");
                    Assert.Equal(new NextStep.TellPatientNobodyYet(), next[1]);
                    at = everyone.LookAgainAt;
                    break;
                default: throw new InvalidOperationException(next[0].ToString());
            }

            happening = new Happening.NobodyTookIt();
        }

        Assert.Equal(expected, told);
    }

    public static TheoryData<Tier, int, int> Untaken()
    {
        var data = new TheoryData<Tier, int, int>();
        foreach (var tier in EscalationContent.Paging)
            for (var onCall = 0; onCall <= 3; onCall++)
                for (var paged = 0; paged <= 3; paged++) data.Add(tier, onCall, paged);
        return data;
    }

    [Theory]
    [MemberData(nameof(Untaken))]
    public void While_nobody_has_it_somebody_is_paged_and_it_is_looked_at_again(Tier tier, int onCall, int paged)
    {
        string[] people = ["a", "b", "c"];
        Happening[] happenings = [new Happening.Reported(true), new Happening.NobodyTookIt(), new Happening.Taken(), new Happening.OutcomeIsDue()];
        foreach (var happening in happenings)
            Assert.Contains(
                Policy.Next(Open(tier, people[..paged]), happening, new(people[..onCall], people), Now),
                step => step is NextStep.Page { LookAgainAt: var a } && a > Now || step is NextStep.PageEveryone { LookAgainAt: var b } && b > Now);
    }

    [Fact]
    public void Worse_while_nobody_has_it_asks_the_next_at_once_and_gives_nobody_longer_than_they_had()
    {
        var due = Now + Duration.FromMinutes(1);
        Assert.Equal(
            [new NextStep.Page("a", Voice: true, due), new NextStep.Page("b", Voice: true, due)],
            Policy.Next(Open(Tier.Emergency, "a") with { LookAgainAt = due }, new Happening.Reported(Raised: true), Two, Now));
        Assert.Equal(Now + Duration.FromMinutes(5), Policy.Next(Open(Tier.Emergency, "a") with { LookAgainAt = Now + Duration.FromMinutes(9) }, new Happening.Reported(Raised: true), Two, Now).OfType<NextStep.Page>().Last().LookAgainAt);
    }

    [Fact]
    public void Worse_after_enough_were_asked_alone_asks_everyone() =>
        Assert.Equal(["a", "b", "c"], Assert.IsType<NextStep.PageEveryone>(Policy.Next(Open(Tier.Emergency, "a", "b"), new Happening.Reported(Raised: true), new(["a", "b", "c"], ["a", "b", "c"]), Now)[0]).People);

    [Fact]
    public void A_text_to_whoever_has_it_that_fails_asks_them_by_voice_too_also_where_the_tier_pages_by_text_alone() =>
        Assert.Equal(
            new NextStep.AskTaker("a", Voice: true, Now + Duration.FromMinutes(60), Now + Duration.FromMinutes(480)),
            Assert.Single(Policy.Next(Taken(Tier.SameDay), new Happening.TakerNotReached(), Two, Now)));

    [Fact]
    public void A_message_that_adds_nothing_leaves_the_running_clock_alone() =>
        Assert.Empty(Policy.Next(Open(Tier.Urgent, "a"), new Happening.Reported(Raised: false), new(["a"], ["a"]), Now));

    [Theory]
    [InlineData(Tier.SameDay, 480)]
    [InlineData(Tier.Urgent, 45)]
    [InlineData(Tier.Emergency, 15)]
    public void Once_taken_the_patient_is_told_and_the_outcome_gets_a_due_time(Tier tier, int minutes) =>
        Assert.Equal([new NextStep.TellPatientTaken(Now + Duration.FromMinutes(minutes))], Policy.Next(Taken(tier), new Happening.Taken(), new(["a"], ["a"]), Now));

    [Fact]
    public void Taken_without_an_outcome_it_reminds_as_often_as_the_content_says_and_then_opens_again_for_everyone()
    {
        var state = Taken(Tier.Emergency);
        for (var reminders = 0; reminders < Policy.Times[Tier.Emergency].Reminders; reminders++)
            Assert.Equal(new NextStep.Remind("a", Now + Duration.FromMinutes(3)), Assert.Single(Policy.Next(state with { Reminders = reminders }, new Happening.OutcomeIsDue(), Two, Now)));
        var again = Policy.Next(state with { Reminders = Policy.Times[Tier.Emergency].Reminders }, new Happening.OutcomeIsDue(), Two, Now);
        Assert.Equal(new NextStep.Reopen(), again[0]);
        Assert.Equal(["a", "b"], Assert.IsType<NextStep.PageEveryone>(again[1]).People);
        Assert.Equal(new NextStep.TellPatientReopened(), again[2]);
    }

    [Fact]
    public void Somebody_whom_pages_may_not_reach_is_paged_together_with_the_next()
    {
        var steps = Policy.Next(Open(Tier.Urgent), new Happening.Reported(true), new(["a", "b", "c"], ["a", "b", "c"], ["a"]), Now);
        Assert.Equal(["a", "b"], steps.Cast<NextStep.Page>().Select(p => p.Person));
    }

    [Fact]
    public void When_pages_may_reach_nobody_on_call_everyone_is_paged_at_once()
    {
        var steps = Policy.Next(Open(Tier.Urgent), new Happening.Reported(true), new(["a", "b"], ["a", "b", "c"], ["a", "b"]), Now);
        Assert.Equal(["a", "b", "c"], Assert.IsType<NextStep.PageEveryone>(steps[0]).People);
        Assert.IsType<NextStep.TellPatientNobodyYet>(steps[1]);
    }

    [Fact]
    public void A_page_that_times_out_after_somebody_took_it_does_nothing() =>
        Assert.Empty(Policy.Next(Taken(Tier.Emergency), new Happening.NobodyTookIt(), Two, Now));

    [Theory]
    [InlineData(true, false)]
    [InlineData(false, true)]
    public void A_higher_tier_or_another_sign_asks_whoever_has_it_to_confirm_in_the_time_one_person_has(bool raised, bool newSigns) =>
        Assert.Equal(
            new NextStep.AskTaker("a", Voice: true, Now + Duration.FromMinutes(3), Now + Duration.FromMinutes(15)),
            Assert.Single(Policy.Next(Taken(Tier.Emergency), new Happening.Reported(raised, newSigns), Two, Now)));

    [Fact]
    public void Not_confirmed_it_is_nobodys_and_the_next_is_paged_and_the_patient_told()
    {
        var steps = Policy.Next(Taken(Tier.Emergency), new Happening.NotConfirmed(), Two, Now);
        Assert.Equal([new NextStep.TakeBack(), new NextStep.Page("b", Voice: true, Now + Duration.FromMinutes(5)), new NextStep.TellPatientReopened()], steps);
    }

    [Fact]
    public void Not_confirmed_with_nobody_next_it_is_everyones()
    {
        var steps = Policy.Next(Taken(Tier.Emergency), new Happening.NotConfirmed(), new(["a"], ["a", "b"]), Now);
        Assert.IsType<NextStep.TakeBack>(steps[0]);
        Assert.Equal(["a", "b"], Assert.IsType<NextStep.PageEveryone>(steps[1]).People);
        Assert.Equal(new NextStep.TellPatientReopened(), Assert.Single(steps.Skip(2)));
    }

    [Fact]
    public void Closed_is_over() =>
        Assert.Empty(Policy.Next(Taken(Tier.Emergency) with { Closed = true }, new Happening.OutcomeIsDue(), Two, Now));

    [Theory]
    [InlineData("next_after_minutes", 0)]
    [InlineData("alone_at_most", 0)]
    [InlineData("last_alone_after_minutes", 1441)]
    [InlineData("voice", 1)]
    [InlineData("reminders", 10)]
    public void Is_refused_by_the_reader_with_the_place_of_the_fault(string key, int value)
    {
        var doc = EscalationContent.Load("policy.v1.yaml");
        doc.Root["tiers"]!["urgent"]![key] = value;
        var errors = new List<ContentError>();
        Assert.Null(EscalationReader.Read(doc, errors));
        Assert.Equal($"/tiers/urgent/{key}", Assert.Single(errors).Path);
    }

    public static TheoryData<Happening> Reaching => [new Happening.Reported(false), new Happening.Reported(true), new Happening.Reported(false, NewSigns: true), new Happening.TakerNotReached(), new Happening.OutcomeIsDue()];

    [Theory]
    [MemberData(nameof(Reaching))]
    public void Whoever_has_it_and_can_be_paged_no_more_gives_it_back_to_everyone_at_once(Happening happening)
    {
        var steps = Policy.Next(Taken(Tier.Emergency), happening, new(["b"], ["b", "c"]), Now);
        Assert.Equal(new NextStep.Reopen(), steps[0]);
        Assert.Equal(["b", "c"], Assert.IsType<NextStep.PageEveryone>(steps[1]).People);
        Assert.Equal(new NextStep.TellPatientReopened(), steps[2]);
        Assert.DoesNotContain(new NextStep.Reopen(), Policy.Next(Taken(Tier.Emergency), happening, new(["b"], ["a", "b", "c"]), Now));
    }

    private static readonly OnCall Two = new(["a", "b"], ["a", "b"]);

    private static EscalationState Open(Tier tier, params string[] paged) => new(tier, paged, TakenBy: null, Reminders: 0, Closed: false);

    private static EscalationState Taken(Tier tier) => new(tier, ["a"], TakenBy: "a", Reminders: 0, Closed: false);
}
