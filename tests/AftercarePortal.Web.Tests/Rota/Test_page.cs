using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Operations;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Messages;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Rota;

/// <summary>Iris is first on call, Tomas second, Vera leads the practice and is not on call. The clock stands at 23:40 UTC.</summary>
public sealed class Test_page : IAsyncLifetime
{
    private const string Iris = "+12025550110", Tomas = "+12025550111", Vera = "+12025550112";
    private const string White = "my skin has gone white and cold where you injected and it is getting worse";
    private readonly Listening_portal _portal = new();
    private int _texts;

    public async Task InitializeAsync()
    {
        await _portal.InitializeAsync();
        foreach (var (id, name, number, role) in new[] { ("iris", "Iris Hale", Iris, StaffRole.Clinician), ("tomas", "Tomas Reed", Tomas, StaffRole.Clinician), ("vera", "Vera Moss", Vera, StaffRole.PracticeLead) })
            await Write(db => db.Add(new StaffRow { Id = id, UserName = id, NormalizedUserName = id, ClinicId = Listening_portal.Clinic, FullName = name, PageNumber = number, Role = role }));
        await Shift("iris", Iris, 1);
        await Shift("tomas", Tomas, 2);
    }

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Goes_out_by_text_and_voice_when_a_shift_begins_and_says_that_it_is_one()
    {
        await Begin("iris", Iris);
        Assert.Contains("TEST page, no report. Reply TAKE within 10 min", Assert.Single(await To(Iris), o => o.Kind is OutgoingKind.PageText).Text);
        Assert.Contains("/carrier/voice/test?t=", Assert.Single(await To(Iris), o => o.Kind is OutgoingKind.PageCall).Text);
        Assert.Empty(await To(Tomas));
    }

    [Theory]
    [InlineData("text")]
    [InlineData("key")]
    public async Task Taken_in_time_proves_the_way_it_was_taken_and_warns_nobody(string how)
    {
        await Begin("iris", Iris);
        if (how == "text") await Text(Iris, "take");
        else Assert.Equal(200, await _portal.PressInTest((await Tests()).Single().Id, Iris, "1"));
        var state = await State("iris");
        Assert.Equal((how == "text", how == "key"), (state.TextProven is not null, state.CallProven is not null));
        await Wait(minutes: 11);
        Assert.Empty(await To(Vera));
        Assert.False((await State("iris")).IsDoubtful);
    }

    [Theory]
    [InlineData(false, 1)]
    [InlineData(true, 0)]
    public async Task Not_taken_is_held_against_nobody_whose_shift_was_given_to_another_meanwhile(bool swapped, int warnings)
    {
        await Begin("iris", Iris);
        if (swapped) await Write(db => (db.Shifts.Single(s => s.Person == "iris").Person, db.Shifts.Single(s => s.Person == "iris").Number) = ("tomas", Tomas));
        await Wait(minutes: 11);
        Assert.Equal(warnings, (await To(Vera)).Count);
        Assert.Equal(warnings, (await Tests()).Count(t => t.MissedAt is not null));
    }

    [Theory]
    [InlineData("2")]
    [InlineData("")]
    public async Task Is_not_taken_by_another_key(string digit)
    {
        await Begin("iris", Iris);
        await _portal.PressInTest((await Tests()).Single().Id, Iris, digit);
        Assert.Null((await Tests()).Single().TakenAt);
    }

    [Theory]
    [InlineData("I am driving and will answer later")]
    [InlineData("I'm ill, cannot do tonight")]
    [InlineData("ok")]
    public async Task Is_not_taken_by_other_words_for_a_phone_may_answer_by_itself(string words)
    {
        await Begin("iris", Iris);
        await Text(Iris, words);
        Assert.Null((await Tests()).Single().TakenAt);
        Assert.Contains("A test page waits for you: reply TAKE.", (await To(Iris))[^1].Text);
        await Text(Iris, "TAKE");
        Assert.NotNull((await Tests()).Single().TakenAt);
    }

    [Fact]
    public async Task Answered_by_a_phone_over_and_over_is_not_answered_for_ever_and_TAKE_is_still_heard()
    {
        await Begin("iris", Iris);
        for (var i = 0; i < 9; i++) await Text(Iris, "I am driving");
        var answers = (await To(Iris)).Count(o => o.Text.Contains("reply TAKE", StringComparison.Ordinal));
        Assert.Equal(5, answers);
        await Text(Iris, "TAKE");
        Assert.Contains("Test page taken", (await To(Iris))[^1].Text);
    }

    [Fact]
    public async Task Not_taken_in_time_warns_the_next_on_call_and_the_practice_lead_once()
    {
        await Begin("iris", Iris);
        await Wait(minutes: 11);
        await Write(db => db.Enqueue(RotaJobs.TestDue, db.TestPages.Single().Id.ToString(), _portal.Time.GetCurrentInstant()));
        await _portal.RunJobs();
        foreach (var number in new[] { Tomas, Vera }) Assert.Contains("has not taken the test page", Assert.Single(await To(number)).Text);
        Assert.True((await State("iris")).IsDoubtful);
    }

    [Fact]
    public async Task Missed_pages_the_next_person_together_with_a_report_until_it_is_made_up_for()
    {
        await Begin("iris", Iris);
        await Wait(minutes: 11);
        await Report();
        Assert.Equal((1, 1), (await Pages(Iris), await Pages(Tomas)));
        await Text(Iris, "TAKE");
        Assert.Equal("iris", (await _portal.Read(db => db.Escalations.SingleAsync())).TakenBy);
        Assert.False((await State("iris")).IsDoubtful);
    }

    [Fact]
    public async Task Is_sent_again_each_day_of_a_long_shift_and_never_twice_a_day()
    {
        await Begin("iris", Iris);
        await Write(db => db.Enqueue(RotaJobs.ShiftBegins, db.Shifts.Single(s => s.Person == "iris").Id.ToString(), _portal.Time.GetCurrentInstant()));
        await _portal.RunJobs();
        Assert.Single(await Tests());
        for (var day = 0; day < 3; day++) await Wait(minutes: 24 * 60);
        Assert.Equal(4, (await Tests()).Count);
    }

    [Fact]
    public async Task Of_a_shift_taken_off_the_rota_is_not_sent()
    {
        await Begin("iris", Iris, run: false);
        await Write(db => db.Shifts.RemoveRange(db.Shifts));
        await _portal.RunJobs();
        Assert.Empty(await Tests());
    }

    [Fact]
    public async Task STOP_from_staff_is_marked_warned_of_and_moves_a_waiting_report_on_at_once()
    {
        await Report();
        await Text(Iris, "STOP");
        Assert.Equal(1, await Pages(Tomas));
        Assert.Contains("pages do not reach a number of staff", Assert.Single(await To(Vera)).Text);
        Assert.Equal(TroubleKind.Stopped, Assert.Single((await State("iris")).Troubles).What);
        await Text(Iris, "STOP");
        Assert.Single(await To(Vera));
        await Text(Iris, "START");
        Assert.Empty((await State("iris")).Troubles);
    }

    [Fact]
    public async Task STOP_from_staff_moves_every_waiting_report_on_and_each_keeps_a_timer_of_its_own()
    {
        await Report();
        await _portal.Deliver("SM-second", White, from: "+12125550199");
        await _portal.RunJobs();
        await Text(Iris, "STOP");
        Assert.Equal(2, await Pages(Tomas));

        var waiting = await _portal.Read(db => db.Escalations.Where(e => e.ClosedAt == null).Select(e => e.Id).ToListAsync());
        Assert.Equal(2, waiting.Count);
        var timers = await _portal.Read(db => db.Jobs.Where(j => j.Kind == EscalationJobs.AckDue && j.DoneAt == null).Select(j => j.Subject).ToListAsync());
        Assert.All(waiting, report => Assert.Contains(timers, subject => subject.StartsWith($"{report}:", StringComparison.Ordinal)));
    }

    [Fact]
    public async Task Of_somebody_let_go_nothing_goes_out_any_more_and_a_report_pages_the_next()
    {
        await Write(db => db.Set<StaffRow>().Single(s => s.Id == "iris").LockoutEnd = DateTimeOffset.MaxValue);
        await Report();
        Assert.Equal((0, 1), (await Pages(Iris), await Pages(Tomas)));
    }

    [Fact]
    public async Task Of_somebody_let_go_asks_nobody_and_warns_nobody_until_they_are_let_in_again()
    {
        await Write(db => db.Set<StaffRow>().Single(s => s.Id == "iris").LockoutEnd = DateTimeOffset.MaxValue);
        await Begin("iris", Iris);
        await Wait(minutes: 11);
        Assert.Equal((0, 0), ((await To(Iris)).Count, (await To(Vera)).Count));
        await Write(db => db.Set<StaffRow>().Single(s => s.Id == "iris").LockoutEnd = null);
        await Wait(minutes: 24 * 60);
        Assert.Single(await To(Iris), o => o.Kind is OutgoingKind.PageText);
    }

    [Fact]
    public async Task Shifts_of_somebody_let_go_are_a_gap_that_is_warned_of()
    {
        await Write(db =>
        {
            foreach (var gone in db.Set<StaffRow>().Where(s => s.Id != "vera")) gone.LockoutEnd = DateTimeOffset.MaxValue;
        });
        await _portal.Part<RotaWatch>().Run(default);
        Assert.Contains(await To(Vera), o => o.Key.StartsWith("alarm:gap-", StringComparison.Ordinal));
        Assert.Empty(await To(Iris));
    }

    [Fact]
    public async Task A_page_that_waits_goes_to_nobody_who_was_let_go_meanwhile()
    {
        await _portal.Deliver("SM-report", White);
        await Write(db =>
        {
            var report = Guid.CreateVersion7();
            db.Add(new EscalationRow { Id = report, ClinicId = Listening_portal.Clinic, Number = "+12025550166", Ref = "7KQX", Tier = Clinical.Triage.Tier.Urgent, OpenedAt = _portal.Time.GetCurrentInstant(), WrittenAt = _portal.Time.GetCurrentInstant(), OpenKey = "+12025550166" });
            db.Queue($"page:{report}:1:iris:text", OutgoingKind.PageText, Listening_portal.Pages, Iris, "page", _portal.Time.GetCurrentInstant());
            db.Set<StaffRow>().Single(s => s.Id == "iris").LockoutEnd = DateTimeOffset.MaxValue;
        });
        await _portal.RunJobs();
        Assert.Equal(OutgoingState.HeldBack, Assert.Single(await To(Iris)).State);
    }

    [Theory]
    [InlineData(21610, TroubleKindName.OptedOut)]
    [InlineData(30003, TroubleKindName.Unreachable)]
    [InlineData(30006, TroubleKindName.NoSuchNumber)]
    [InlineData(39999, TroubleKindName.NotArrived)]
    public async Task A_page_that_fails_marks_the_number_by_the_carriers_code_and_the_next_report_pages_two(int code, TroubleKindName what)
    {
        await Report();
        var page = (await To(Iris)).First(o => o.Kind is OutgoingKind.PageText);
        await _portal.Report(page.Id, "undelivered", code);
        await _portal.RunJobs();
        Assert.Equal(1, await Pages(Tomas));
        Assert.Equal(what.ToString(), Assert.Single((await State("iris")).Troubles).What.ToString());
        Assert.Single(await To(Vera));
    }

    [Fact]
    public async Task A_page_the_carrier_never_sends_marks_the_number_and_one_that_arrives_later_clears_it()
    {
        await Report();
        _portal.Carrier.Status.Last[(await To(Iris)).First(o => o.Kind is OutgoingKind.PageText).CarrierId!] = "queued";
        await Wait(minutes: 4);
        Assert.Equal(TroubleKind.NotSent, Assert.Single((await State("iris")).Troubles).What);
        await Wait(minutes: 12);                                                // everyone is paged
        await _portal.Report((await To(Iris)).Last(o => o.Kind is OutgoingKind.PageText).Id, "delivered");
        Assert.Empty((await State("iris")).Troubles);
    }

    [Fact]
    public async Task A_page_nobody_can_say_anything_of_while_the_carriers_list_is_away_moves_on_once_and_marks_no_number()
    {
        await Report();
        _portal.Carrier.Status.Last[(await To(Iris)).First(o => o.Kind is OutgoingKind.PageText).CarrierId!] = "queued";
        _portal.Carrier.ListsNothing = true;
        await Wait(minutes: 4);
        Assert.Equal(1, await Pages(Tomas));
        Assert.Empty((await State("iris")).Troubles);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(null)]
    public async Task A_page_that_fails_with_no_code_says_that_the_reason_is_unknown(int? code)
    {
        await Report();
        var page = (await To(Iris)).First(o => o.Kind is OutgoingKind.PageText);
        await _portal.Report(page.Id, "undelivered", code);
        await _portal.RunJobs();
        var trouble = Assert.Single((await State("iris")).Troubles);
        Assert.Equal((TroubleKind.NotArrived, null), (trouble.What, trouble.Code));
        Assert.Contains("reason is unknown", TroubleReading.Words(trouble.What, trouble.Way));
    }

    [Fact]
    public async Task A_code_told_before_is_not_taken_back_by_a_report_without_one()
    {
        await Report();
        var page = (await To(Iris)).First(o => o.Kind is OutgoingKind.PageText);
        await _portal.Report(page.Id, "undelivered", 30034);
        await _portal.Report(page.Id, "failed", 0);
        await _portal.RunJobs();
        Assert.Empty((await State("iris")).Troubles);
    }

    [Fact]
    public async Task A_fault_of_the_account_marks_no_number()
    {
        await Report();
        await _portal.Report((await To(Iris)).First(o => o.Kind is OutgoingKind.PageText).Id, "failed", 30034);
        await _portal.RunJobs();
        Assert.Empty((await State("iris")).Troubles);
        Assert.Equal(1, await Pages(Tomas));
    }

    /// <summary>The kinds by name: the portal's own are internal.</summary>
    public enum TroubleKindName { OptedOut, Unreachable, NoSuchNumber, NotArrived }

    private async Task Begin(string person, string number, bool run = true)
    {
        var id = await _portal.Read(db => db.Shifts.Where(s => s.Person == person && s.Number == number).Select(s => s.Id).SingleAsync());
        await Write(db => db.Enqueue(RotaJobs.ShiftBegins, id.ToString(), _portal.Time.GetCurrentInstant()));
        if (run) await _portal.RunJobs();
    }

    private Task Shift(string person, string number, int order) => Write(db =>
        db.Add(new ShiftRow { Person = person, Number = number, Order = order, From = Instant.FromUtc(2026, 11, 24, 23, 40), To = Instant.FromUtc(2026, 12, 31, 0, 0) }));

    private async Task Report()
    {
        await _portal.Deliver("SM-report", White);
        await _portal.RunJobs();
    }

    private async Task Text(string number, string words)
    {
        await _portal.Deliver($"SM-{++_texts}", words, to: Listening_portal.Pages, from: number);
        await _portal.RunJobs();
    }

    private async Task Wait(int minutes)
    {
        _portal.Time.Advance(TimeSpan.FromMinutes(minutes));
        await _portal.RunJobs();
    }

    private async Task Write(Action<PortalDb> change) => await _portal.Read(async db =>
    {
        change(db);
        return await db.SaveChangesAsync();
    });

    private async Task<int> Pages(string number) => (await To(number)).Count(o => o.Key.StartsWith("page:", StringComparison.Ordinal) && o.Kind is OutgoingKind.PageText);

    private Task<List<TestPageRow>> Tests() => _portal.Read(db => db.TestPages.ToListAsync());

    private Task<List<OutgoingRow>> To(string number) => _portal.Read(db => db.Outgoing.Where(o => o.To == number).OrderBy(o => o.MadeAt).ThenBy(o => o.Id).ToListAsync());

    private Task<ContactState> State(string person) => _portal.Read(async db =>
        (await db.ContactStates((await db.OnCallAt(_portal.Time.GetCurrentInstant(), default)).Numbers, _portal.Time.GetCurrentInstant(), default)).Single(c => c.Person == person));
}
