using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Operations;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Messages;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Escalations;

/// <summary>Whatever is given up, lost or gone, somebody looks at it. Iris is first on call, Tomas second, Vera leads the practice and is not on call.</summary>
public sealed class Report_that_would_go_silent : IAsyncLifetime
{
    private const string Iris = "+12025550110", Tomas = "+12025550111", Vera = "+12025550112", Another = "+12025550199";
    private const string White = "my skin has gone white and cold where you injected and it is getting worse", Patch = "theres a pale patch on my chin";
    private readonly Listening_portal _portal = new();
    private int _texts;

    public async Task InitializeAsync()
    {
        await _portal.InitializeAsync();
        foreach (var (id, number, role) in new[] { ("iris", Iris, StaffRole.Clinician), ("tomas", Tomas, StaffRole.Clinician), ("vera", Vera, StaffRole.PracticeLead) })
            await Write(db => db.Add(new StaffRow { Id = id, UserName = id, NormalizedUserName = id.ToUpperInvariant(), ClinicId = Listening_portal.Clinic, FullName = id, PageNumber = number, Role = role }));
        foreach (var (id, number, order) in new[] { ("iris", Iris, 1), ("tomas", Tomas, 2) })
            await Write(db => db.Add(new ShiftRow { Person = id, Number = number, Order = order, From = Now - Duration.FromDays(1), To = Now + Duration.FromDays(1) }));
    }

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Because_its_taker_was_let_go_is_everyones_at_once_with_every_other_they_had()
    {
        await Text(Listening_portal.Patient, White);
        await Take(Iris);
        await Text(Another, White);
        await Take(Iris);
        await LetGo("iris");
        await RunTwice(StaffJobs.LetGo);
        Assert.All(await Reports(), report => Assert.Null(report.TakenBy));
        Assert.Equal((2, 2), (await Pages(Tomas), await Pages(Vera)));
        foreach (var patient in new[] { Listening_portal.Patient, Another })
            Assert.Single(await To(patient), o => o.Text.StartsWith("Your report waits for a clinician again", StringComparison.Ordinal));
        Assert.Equal(0, await Watch());
    }

    [Fact]
    public async Task Because_its_taker_was_let_go_and_nobody_else_is_there_is_looked_at_again_and_the_patient_hears_it()
    {
        await Text(Listening_portal.Patient, White);
        await Take(Iris);
        await Lock("tomas", "vera");
        await LetGo("iris");
        await _portal.RunJobs();
        Assert.Null((await Report()).TakenBy);
        Assert.Contains(await Events(), e => e.What is EscalationEvent.NobodyOnCall);
        Assert.Contains(await To(Listening_portal.Patient), o => o.Text.StartsWith("Your report waits for a clinician again", StringComparison.Ordinal));
        Assert.Equal(0, await Watch());
    }

    [Fact]
    public async Task Because_who_alone_was_asked_was_let_go_is_the_nexts_at_once()
    {
        await Text(Listening_portal.Patient, White);
        Assert.Equal((1, 0), (await Pages(Iris), await Pages(Tomas)));
        await LetGo("iris");
        await RunTwice(StaffJobs.LetGo);
        Assert.Equal((1, 1, 0), (await Pages(Iris), await Pages(Tomas), await Pages(Vera)));
    }

    [Theory]
    [InlineData("and its cold")]
    [InlineData("still a pale patch on my chin")]
    public async Task Because_its_taker_can_be_paged_no_more_is_everyones_with_the_next_word_of_the_patient(string next)
    {
        await Text(Listening_portal.Patient, Patch);
        await Take(Iris);
        await Lock("iris");
        await Text(Listening_portal.Patient, next);
        Assert.Null((await Report()).TakenBy);
        Assert.Equal((1, 1), (await Pages(Tomas), await Pages(Vera)));
    }

    [Fact]
    public async Task Because_its_reading_was_given_up_is_urgent_paged_answered_and_shown_and_health_is_bad_until_it_is_read()
    {
        await GivenUp(MessageJobs.Read, () => _portal.Deliver("SM1", White));
        var report = await Report();
        Assert.Equal(Tier.Urgent, report.Tier);
        Assert.Equal(1, await Pages(Iris));
        Assert.Single(await To(Listening_portal.Patient), o => o.Kind is OutgoingKind.SafetyReply && o.Text.Contains("202-555-0142", StringComparison.Ordinal));
        Assert.Equal(report.Id, await _portal.Read(db => db.Readings.Select(r => r.EscalationId).SingleAsync()));
        Assert.Equal(503, await _portal.Health());

        await TryAgain();
        Assert.Equal(200, await _portal.Health());
        Assert.Equal((report.Id, Tier.Emergency), ((await Report()).Id, (await Report()).Tier));
    }

    [Fact]
    public async Task Because_its_reading_was_given_up_twice_is_one_report_with_one_answer()
    {
        await GivenUp(MessageJobs.Read, () => _portal.Deliver("SM1", White));
        await GivenUp(MessageJobs.Read, () => TryAgain(run: false));
        await Report();
        Assert.Equal(1, await Pages(Iris));
        Assert.Single(await To(Listening_portal.Patient));
        await Take(Iris);
        await Write(db => { foreach (var open in db.Escalations) (open.ClosedAt, open.OpenKey) = (Now, open.Id.ToString()); });
        await TryAgain();
        Assert.NotNull((await Report()).ClosedAt);
        Assert.Equal(200, await _portal.Health());
    }

    [Fact]
    public async Task Because_its_reading_was_given_up_asks_whoever_has_the_report_anew()
    {
        await Text(Listening_portal.Patient, White);
        await Take(Iris);
        await GivenUp(MessageJobs.Read, () => _portal.Deliver("SM9", "I cannot see out of one eye"));
        Assert.Equal(2, await Pages(Iris));
        Assert.NotNull((await Report()).ConfirmRound);
    }

    [Fact]
    public async Task Because_the_alarm_about_its_reading_was_given_up_too_is_found_by_the_watch()
    {
        await _portal.Deliver("SM1", White);
        await Write(db => { foreach (var job in db.Jobs.Where(j => j.Kind == MessageJobs.Read)) (job.Attempts, job.ParkedAt) = (JobRunner.MostAttempts, Now); });
        Assert.Equal(1, await Watch());
        Assert.Equal(0, await Watch());
        await _portal.RunJobs();
        Assert.Equal((Tier.Urgent, 1), ((await Report()).Tier, await Pages(Iris)));
    }

    [Fact]
    public async Task Because_its_timer_was_given_up_goes_on_to_the_next()
    {
        await Text(Listening_portal.Patient, White);
        await GivenUp(EscalationJobs.AckDue, () => Task.CompletedTask);
        await Wait(minutes: 10);
        Assert.Equal(0, await Pages(Tomas));
        Assert.Equal(1, await Watch());
        Assert.Equal(0, await Watch());
        await _portal.RunJobs();
        Assert.Equal((1, 0), (await Pages(Tomas), await Watch()));
    }

    [Theory]
    [InlineData(EscalationJobs.Taken)]
    [InlineData(EscalationJobs.OutcomeDue)]
    public async Task Because_what_waits_for_its_outcome_was_given_up_reminds_its_taker_in_time(string kind)
    {
        await Text(Listening_portal.Patient, White);
        await Take(Iris, run: kind is EscalationJobs.OutcomeDue);
        await GivenUp(kind, () => _portal.Part<JobRunner>().RunNext(_ => { }, default));      // her TAKE alone, where it still waits
        Assert.Equal(1, await Watch());
        await Wait(minutes: 14);
        Assert.DoesNotContain(await To(Iris), o => o.Key.StartsWith("remind:", StringComparison.Ordinal));
        await Wait(minutes: 2);
        Assert.Contains(await To(Iris), o => o.Key.StartsWith("remind:", StringComparison.Ordinal));
        Assert.Equal(0, await Watch());
    }

    [Fact]
    public async Task That_has_its_timers_is_left_alone()
    {
        await Text(Listening_portal.Patient, Patch);
        Assert.Equal(0, await Watch());
        await Take(Iris);
        Assert.Equal(0, await Watch());
        await Text(Listening_portal.Patient, "and its cold");
        Assert.Equal(0, await Watch());
        await Wait(minutes: 5);
        Assert.Equal(0, await Watch());
    }

    [Fact]
    public async Task Because_so_many_texts_went_before_it_is_answered_all_the_same()
    {
        for (var i = 0; i < 25; i++)
            await Write(db => db.Add(new OutgoingRow { ClinicId = Listening_portal.Clinic, Key = $"earlier:{i}", Kind = OutgoingKind.SafetyReply, From = Listening_portal.Patients, To = Listening_portal.Patient, Text = "words", MadeAt = Now, State = OutgoingState.Accepted }));
        await Text(Listening_portal.Patient, White);
        Assert.Equal(1, await Answers());
        await Text(Listening_portal.Patient, White);
        Assert.Equal(1, await Answers());
        await Text(Listening_portal.Patient, "now I cannot see out of one eye");
        Assert.Equal(2, await Answers());
    }

    [Fact]
    public async Task Because_it_got_worse_before_anybody_took_it_wakes_everyone_no_later()
    {
        await Text(Listening_portal.Patient, Patch);
        await Wait(minutes: 3);
        await Text(Listening_portal.Patient, "and its cold");
        Assert.Equal((2, 1, 0), (await Pages(Iris), await Pages(Tomas), await Pages(Vera)));
        await Wait(minutes: 3);
        Assert.Equal((3, 2, 1), (await Pages(Iris), await Pages(Tomas), await Pages(Vera)));
    }

    [Fact]
    public async Task Because_it_got_worse_after_two_slept_on_wakes_everyone_at_once()
    {
        await Text(Listening_portal.Patient, Patch);
        await Wait(minutes: 6);
        await Wait(minutes: 8);
        Assert.Equal((1, 1, 0), (await Pages(Iris), await Pages(Tomas), await Pages(Vera)));
        await Text(Listening_portal.Patient, "and its cold");
        Assert.Equal((2, 2, 1), (await Pages(Iris), await Pages(Tomas), await Pages(Vera)));
    }

    [Theory]
    [InlineData("more:")]
    [InlineData("ring:")]
    public async Task Because_a_text_to_its_taker_failed_asks_them_by_voice_and_then_the_next(string what)
    {
        await Text(Listening_portal.Patient, White);
        await Take(Iris);
        if (what == "more:") await Text(Listening_portal.Patient, White);
        else await Fails((await To(Listening_portal.Patient)).Last().Id);
        var told = (await To(Iris)).Last(o => o.Key.StartsWith(what, StringComparison.Ordinal)).Id;
        await Fails(told);
        await Fails(told);
        Assert.Equal((2, 2, 0), (await Pages(Iris), await Pages(Iris, OutgoingKind.PageCall), await Pages(Tomas)));
        await Wait(minutes: 5);
        Assert.Equal((null, 1), ((await Report()).TakenBy, await Pages(Tomas)));
    }

    [Fact]
    public async Task Because_a_text_to_its_taker_and_the_page_after_it_failed_is_the_nexts_at_once()
    {
        await Text(Listening_portal.Patient, White);
        await Take(Iris);
        await Text(Listening_portal.Patient, White);
        await Fails((await To(Iris)).Last(o => o.Key.StartsWith("more:", StringComparison.Ordinal)).Id);
        await Fails((await To(Iris)).Last(o => o.Key.StartsWith("page:", StringComparison.Ordinal) && o.Kind is OutgoingKind.PageText).Id);
        Assert.Equal((null, 1), ((await Report()).TakenBy, await Pages(Tomas)));
    }

    [Fact]
    public async Task Because_a_text_to_who_had_it_before_failed_asks_nobody_else_with_the_same_handset()
    {
        await Text(Listening_portal.Patient, White);
        await Take(Iris);
        await Text(Listening_portal.Patient, White);
        var told = (await To(Iris)).Last(o => o.Key.StartsWith("more:", StringComparison.Ordinal)).Id;
        await Write(db =>
        {
            foreach (var person in db.Set<StaffRow>().Where(s => s.Id == "tomas")) person.PageNumber = Iris;
            foreach (var shift in db.Shifts.Where(s => s.Person == "tomas")) shift.Number = Iris;
            foreach (var report in db.Escalations) report.TakenBy = "tomas";
        });
        await Fails(told);
        Assert.Null((await Report()).ConfirmRound);
        Assert.DoesNotContain(await Events(), e => e.What is EscalationEvent.TakerNotReached);
    }

    [Fact]
    public async Task Because_its_reading_fails_again_and_again_is_with_a_person_while_it_is_tried_on()
    {
        await _portal.Deliver("SM1", White);
        var read = await _portal.Read(db => db.Jobs.SingleAsync(j => j.Kind == MessageJobs.Read));
        // Failed three times, and the fourth try is under way.
        await Write(db =>
        {
            foreach (var job in db.Jobs.Where(j => j.Id == read.Id)) (job.Attempts, job.LeasedUntil) = (JobRunner.TriesAlone + 1, Now + JobQueue.Lease);
            db.Enqueue(JobRunner.JobFails, read.Id.ToString(), Now, lane: 0);
        });
        await _portal.RunJobs();
        Assert.Equal((Tier.Urgent, 1), ((await Report()).Tier, await Pages(Iris)));
        await Wait(minutes: 1);
        Assert.Equal((Tier.Emergency, 0), ((await Report()).Tier, await _portal.Read(db => db.Jobs.CountAsync(j => j.ParkedAt != null))));
    }

    [Fact]
    public async Task Because_its_reading_failed_and_then_went_well_is_one_report_read_once()
    {
        await _portal.Deliver("SM1", White);
        await _portal.RunJobs();
        await Write(db => db.Enqueue(JobRunner.JobFails, db.Jobs.Single(j => j.Kind == MessageJobs.Read).Id.ToString(), Now, lane: 0));
        await _portal.RunJobs();
        Assert.Equal((Tier.Emergency, 1, 1), ((await Report()).Tier, await Pages(Iris), await Answers()));
    }

    [Fact]
    public async Task Is_not_said_to_be_called_about_when_a_repeated_sign_brings_its_taker_one_text()
    {
        await Text(Listening_portal.Patient, White);
        await Take(Iris);
        await Text(Listening_portal.Patient, White);
        var answer = (await To(Listening_portal.Patient)).Last(o => o.Key.StartsWith("reply:", StringComparison.Ordinal)).Text;
        Assert.StartsWith("This may be an emergency. Call 911 now.", answer, StringComparison.Ordinal);
        Assert.Contains("Whoever has your report is told.", answer, StringComparison.Ordinal);
        Assert.DoesNotContain("calling", answer, StringComparison.Ordinal);
        Assert.Equal(1, await Pages(Iris, OutgoingKind.PageCall));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Is_handed_to_no_carrier_for_who_is_asked_after_somebody_took_or_closed_it(bool closed)
    {
        await _portal.Deliver("SM1", White);
        await _portal.Part<JobRunner>().RunNext(_ => { }, default);               // read; its pages wait
        Assert.Empty(_portal.Carrier.Lines);
        await InScope(async parts => Assert.IsType<TakeEscalation.Outcome.Yours>(await parts.GetRequiredService<TakeEscalation>().Run((await Report()).Id, closed ? "iris" : "tomas", 0, default)));
        if (closed) await Write(db => { foreach (var open in db.Escalations) (open.ClosedAt, open.OpenKey) = (Now, open.Id.ToString()); });
        await _portal.RunJobs();
        Assert.DoesNotContain(_portal.Carrier.Lines, l => l.To == Iris);
        Assert.Contains(_portal.Carrier.Lines, l => l.To == Listening_portal.Patient);
        Assert.All((await To(Iris)).Where(o => o.Key.StartsWith("page:", StringComparison.Ordinal)), page => Assert.Equal(OutgoingState.HeldBack, page.State));
    }

    [Theory]
    [InlineData(4, true)]
    [InlineData(20, false)]
    public async Task Is_taken_by_a_text_that_only_two_clocks_apart_make_older_than_the_asking(int seconds, bool taken)
    {
        await _portal.Deliver("SM1", White);
        await Take(Iris, run: false);
        _portal.Time.Advance(TimeSpan.FromSeconds(seconds));
        await _portal.RunJobs();
        Assert.Equal(taken ? "iris" : null, (await Report()).TakenBy);
    }

    [Fact]
    public async Task Because_its_first_half_came_late_is_read_with_the_second()
    {
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, Patch);
        await Wait(minutes: 1);
        await Text(Listening_portal.Patient, "and its cold");
        Assert.NotEqual(Tier.Emergency, (await Report()).Tier);
        Assert.Equal(1, await _portal.Sweep());
        await _portal.RunJobs();
        Assert.Equal(Tier.Emergency, (await Report()).Tier);
    }

    [Fact]
    public async Task Because_an_intake_with_the_same_number_was_closed_is_still_read_with_its_first_half()
    {
        await Text(Listening_portal.Patient, Patch);
        await Wait(minutes: 1);
        await Write(db => db.Add(new EscalationRow { ClinicId = Listening_portal.Clinic, Number = Listening_portal.Patient, Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = Now, WrittenAt = Now, ClosedAt = Now, OpenKey = "intake", FromIntake = true }));
        await Wait(minutes: 1);
        await Text(Listening_portal.Patient, "and its cold");
        Assert.Equal(Tier.Emergency, (await Reports()).Single(r => !r.FromIntake).Tier);
    }

    private Instant Now => _portal.Time.GetCurrentInstant();

    private async Task Fails(Guid outgoing)
    {
        Assert.Equal(200, await _portal.Report(outgoing, "undelivered"));
        await _portal.RunJobs();
    }

    // Tried as often as a job is, as if it had failed every time.
    private async Task GivenUp(string kind, Func<Task> cause)
    {
        await cause();
        await Write(db => { foreach (var job in db.Jobs.Where(j => j.Kind == kind && j.DoneAt == null && j.ParkedAt == null)) (job.Attempts, job.DueAt) = (JobRunner.MostAttempts, Now); });
        await _portal.RunJobs();
        Assert.NotEqual(0, await _portal.Read(db => db.Jobs.CountAsync(j => j.Kind == kind && j.ParkedAt != null)));
    }

    private async Task TryAgain(bool run = true)
    {
        await InScope(async parts =>
        {
            var job = await parts.GetRequiredService<PortalDb>().Jobs.SingleAsync(j => j.ParkedAt != null && j.DoneAt == null);
            Assert.True(await parts.GetRequiredService<TryAgain>().Run(job.Id, default));
        });
        if (run) await _portal.RunJobs();
    }

    private Task LetGo(string who) => InScope(async parts => Assert.IsType<StaffBook.Outcome.Done>(await parts.GetRequiredService<StaffBook>().LetGo(who, "nobody")));

    // Done, and once more, as when the process ends before the job's end is kept.
    private async Task RunTwice(string kind)
    {
        await _portal.RunJobs();
        await Write(db => db.Enqueue(kind, db.Jobs.Single(j => j.Kind == kind).Subject, Now, lane: 0));
        await _portal.RunJobs();
    }

    private async Task InScope(Func<IServiceProvider, Task> act)
    {
        await using var scope = _portal.Part<IServiceScopeFactory>().CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(Listening_portal.Clinic);
        await act(scope.ServiceProvider);
    }

    private Task<int> Watch() => _portal.Part<TimerWatch>().Run(default);

    private Task Lock(params string[] people) => Write(db => { foreach (var person in db.Set<StaffRow>().Where(s => people.Contains(s.Id))) person.LockoutEnd = DateTimeOffset.MaxValue; });

    private async Task Text(string from, string words)
    {
        Assert.Equal(200, await _portal.Deliver($"SMp{_texts++}", words, from: from));
        await _portal.RunJobs();
    }

    private async Task Take(string number, bool run = true)
    {
        await _portal.Deliver($"SMt{_texts++}", "TAKE", to: Listening_portal.Pages, from: number);
        if (run) await _portal.RunJobs();
    }

    private async Task Wait(int minutes)
    {
        _portal.Time.Advance(TimeSpan.FromMinutes(minutes));
        await _portal.RunJobs();
    }

    private Task<int> Write(Action<PortalDb> change) => _portal.Read(async db =>
    {
        change(db);
        return await db.SaveChangesAsync();
    });

    private async Task<int> Answers() => (await To(Listening_portal.Patient)).Count(o => o.Key.StartsWith("reply:", StringComparison.Ordinal));

    private async Task<int> Pages(string number, OutgoingKind kind = OutgoingKind.PageText) => (await To(number)).Count(o => o.Key.StartsWith("page:", StringComparison.Ordinal) && o.Kind == kind);

    private Task<List<OutgoingRow>> To(string number) => _portal.Read(db => db.Outgoing.Where(o => o.To == number).OrderBy(o => o.MadeAt).ThenBy(o => o.Id).ToListAsync());

    [Fact]
    public async Task Of_two_that_act_on_one_state_at_once_the_second_is_refused()
    {
        await _portal.Deliver("SM-two", "my skin has gone white and cold where you injected");
        await _portal.RunJobs();
        await _portal.Read(async first =>
        {
            var one = await first.Escalations.SingleAsync();
            await _portal.Read(async second =>
            {
                (await second.Escalations.SingleAsync()).Turn++;
                return await second.SaveChangesAsync();
            });
            one.Turn++;
            return await Assert.ThrowsAsync<DbUpdateConcurrencyException>(() => first.SaveChangesAsync());
        });
    }

    private Task<List<EscalationEventRow>> Events() => _portal.Read(async db => (await db.EscalationEvents.ToListAsync()).InOrder().ToList());

    private Task<List<EscalationRow>> Reports() => _portal.Read(db => db.Escalations.ToListAsync());

    private Task<EscalationRow> Report() => _portal.Read(db => db.Escalations.SingleAsync());
}
