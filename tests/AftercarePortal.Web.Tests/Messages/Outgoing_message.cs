using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

public sealed class Outgoing_message : IAsyncLifetime
{
    private readonly Listening_portal _portal = new();

    public Task InitializeAsync() => _portal.InitializeAsync();

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Goes_to_the_carrier_once()
    {
        await Queue("a", OutgoingKind.SafetyReply);
        await Queue("a", OutgoingKind.SafetyReply);
        await _portal.RunJobs();
        Assert.Equal("words of a", Assert.Single(_portal.Carrier.Lines).Text);
        Assert.Equal(OutgoingState.Accepted, (await Row()).State);
    }

    [Theory]
    [InlineData(nameof(OutgoingKind.SafetyReply), 429)]
    [InlineData(nameof(OutgoingKind.PageText), 429)]
    [InlineData(nameof(OutgoingKind.Step), 429)]
    [InlineData(nameof(OutgoingKind.SafetyReply), 503)]
    [InlineData(nameof(OutgoingKind.PageText), 503)]
    public async Task Is_sent_again_when_the_carrier_was_busy_or_nobody_knows(string kind, int fault)
    {
        _portal.Carrier.NextFaults.Enqueue(fault);
        await Queue("a", Enum.Parse<OutgoingKind>(kind));
        await _portal.RunJobs();
        Assert.Empty(_portal.Carrier.Lines);
        await Wait(seconds: kind is nameof(OutgoingKind.Step) ? 31 : 4);
        Assert.Single(_portal.Carrier.Lines);
    }

    [Theory]
    [InlineData(401, 20003)]
    [InlineData(401, null)]
    [InlineData(403, 20005)]
    [InlineData(403, null)]
    [InlineData(404, 20404)]
    [InlineData(408, null)]
    [InlineData(429, null)]
    [InlineData(400, 21611)]
    public async Task Turned_away_for_what_is_no_fault_of_the_text_is_sent_once_that_is_over(int status, int? code)
    {
        foreach (var kind in new[] { OutgoingKind.PageText, OutgoingKind.Step, OutgoingKind.PageCall })
        {
            _portal.Carrier.NextTurned.Enqueue(new(status, code));
            await Queue($"{kind}", kind);
            await _portal.RunJobs();
        }

        Assert.Empty(_portal.Carrier.Lines);
        Assert.All(await _portal.Read(db => db.Outgoing.ToListAsync()), o => Assert.Equal(OutgoingState.Pending, o.State));
        await Wait(seconds: 31);
        Assert.Equal(3, _portal.Carrier.Lines.Count);
        Assert.Equal(0, await NotDelivered());
    }

    [Theory]
    [InlineData(nameof(OutgoingKind.Step), "300", 290, 20)]
    [InlineData(nameof(OutgoingKind.Step), "0", 0, 2)]
    [InlineData(nameof(OutgoingKind.PageText), "6", 5, 2)]
    [InlineData(nameof(OutgoingKind.PageText), "3600", 9, 2)]
    [Source("RFC 9110", at: "10.2.3 Retry-After: seconds or a date")]
    public async Task Waits_as_long_as_a_busy_carrier_asks_and_what_is_urgent_no_longer_than_ten_seconds(string kind, string after, int before, int then)
    {
        _portal.Carrier.NextTurned.Enqueue(new(429, 20429, after));
        await Queue("a", Enum.Parse<OutgoingKind>(kind));
        await _portal.RunJobs();
        await Wait(before);
        Assert.Empty(_portal.Carrier.Lines);
        await Wait(then);
        Assert.Single(_portal.Carrier.Lines);
    }

    [Fact]
    public async Task By_voice_of_which_the_carrier_reports_before_its_answer_is_lost_is_not_placed_twice()
    {
        _portal.Carrier.NextLostAnswers.Enqueue(503);
        _portal.Carrier.Took += line => _portal.Carrier.Status.Report(line, "ringing").GetAwaiter().GetResult();
        await Queue("a", OutgoingKind.PageCall);
        await _portal.RunJobs();
        await Wait(seconds: 61);
        Assert.Equal((OutgoingState.Accepted, Assert.Single(_portal.Carrier.Lines).Sid), ((await Row()).State, (await Row()).CarrierId));
    }

    [Theory]
    [InlineData(nameof(OutgoingKind.PageText), 4)]
    [InlineData(nameof(OutgoingKind.PageCall), 4)]
    [InlineData(nameof(OutgoingKind.SafetyReply), 4)]
    [InlineData(nameof(OutgoingKind.Step), 31)]
    public async Task That_never_left_because_no_connection_came_about_is_sent_once_the_line_is_mended(string kind, int seconds)
    {
        await _portal.CutTheLine();
        await Queue("a", Enum.Parse<OutgoingKind>(kind));
        await _portal.RunJobs();
        Assert.Equal(OutgoingState.Pending, (await Row()).State);
        await _portal.MendTheLine();
        await Wait(seconds);
        Assert.Equal((OutgoingState.Accepted, 1), ((await Row()).State, _portal.Carrier.Lines.Count));
    }

    [Theory]
    [InlineData("")]
    [InlineData("{}")]
    [InlineData("<html>Sign in to the guests' network</html>")]
    public async Task That_something_else_answers_in_the_carriers_name_is_repeated_and_given_up_like_any_other(string answer)
    {
        for (var i = 0; i < 200; i++) _portal.Carrier.NextNonsense.Enqueue(answer);
        await Queue("a", OutgoingKind.PageText);
        await _portal.RunJobs();
        for (var i = 0; i < 50; i++) await Wait(seconds: 3);
        Assert.Equal(OutgoingState.TooLate, (await Row()).State);
        Assert.Equal((1, 1), (await NotDelivered(), await _portal.Read(db => db.Jobs.MaxAsync(j => j.Attempts))));
    }

    [Fact]
    public async Task Of_an_aftercare_plan_is_never_repeated_when_nobody_knows_whether_it_went()
    {
        _portal.Carrier.NextFaults.Enqueue(503);
        await Queue("a", OutgoingKind.Step);
        await _portal.RunJobs();
        await Wait(seconds: 3600);
        Assert.Empty(_portal.Carrier.Lines);
        Assert.Equal(OutgoingState.Unclear, (await Row()).State);
    }

    [Theory]
    [InlineData(nameof(OutgoingKind.PageText))]
    [InlineData(nameof(OutgoingKind.SafetyReply))]
    [InlineData(nameof(OutgoingKind.Step))]
    public async Task Whose_answer_was_lost_is_found_in_the_carriers_list_and_not_sent_again(string kind)
    {
        _portal.Carrier.NextLostAnswers.Enqueue(503);
        await Queue("a", Enum.Parse<OutgoingKind>(kind));
        await _portal.RunJobs();
        Assert.Equal(OutgoingState.Unclear, (await Row()).State);
        await Wait(seconds: 61);
        Assert.Equal((OutgoingState.Accepted, Assert.Single(_portal.Carrier.Lines).Sid), ((await Row()).State, (await Row()).CarrierId));
    }

    [Theory]
    [InlineData(nameof(OutgoingKind.PageText))]
    [InlineData(nameof(OutgoingKind.SafetyReply))]
    [InlineData(nameof(OutgoingKind.Step))]
    public async Task Whose_answer_was_lost_and_of_which_the_carrier_reports_was_taken_and_is_not_sent_again(string kind)
    {
        var sent = Enum.Parse<OutgoingKind>(kind);
        _portal.Carrier.ListsNothing = true;
        _portal.Carrier.NextLostAnswers.Enqueue(503);
        await Queue("a", sent);
        await _portal.RunJobs();
        await _portal.Carrier.Status.Report(Assert.Single(_portal.Carrier.Lines), "queued");
        await Wait(seconds: 61);
        Assert.Equal((OutgoingState.Accepted, Assert.Single(_portal.Carrier.Lines).Sid), ((await Row()).State, (await Row()).CarrierId));
        Assert.Equal(0, await NotDelivered());
        await Wait(seconds: 180);
        Assert.Equal(sent is OutgoingKind.PageText ? 1 : 0, await NotDelivered());
    }

    [Fact]
    public async Task Of_an_aftercare_plan_whose_answer_was_lost_is_looked_for_until_the_carriers_list_can_be_read()
    {
        _portal.Carrier.ListsNothing = true;
        _portal.Carrier.NextLostAnswers.Enqueue(503);
        await Queue("a", OutgoingKind.Step);
        await _portal.RunJobs();
        for (var i = 0; i < 3; i++) await Wait(seconds: 61);
        Assert.Equal(OutgoingState.Unclear, (await Row()).State);
        _portal.Carrier.ListsNothing = false;
        await Wait(seconds: 61);
        Assert.Equal((OutgoingState.Accepted, Assert.Single(_portal.Carrier.Lines).Sid), ((await Row()).State, (await Row()).CarrierId));
    }

    [Fact]
    public async Task Of_an_aftercare_plan_that_was_on_the_line_when_we_died_is_looked_for_once_more_in_a_list_that_lags()
    {
        await Queue("a", OutgoingKind.Step);
        await _portal.Read(db => db.Outgoing.ExecuteUpdateAsync(set => set.SetProperty(o => o.State, OutgoingState.Calling).SetProperty(o => o.FirstTriedAt, _portal.Time.GetCurrentInstant())));
        await _portal.RunJobs();
        Assert.Equal(OutgoingState.Unclear, (await Row()).State);
        _portal.Carrier.Lines.Enqueue(new("SM-listed-late", Listening_portal.Patients, Listening_portal.Patient, "words of a", IsCall: false, _portal.Time.GetUtcNow()));
        await Wait(seconds: 61);
        Assert.Equal((OutgoingState.Accepted, "SM-listed-late"), ((await Row()).State, (await Row()).CarrierId));
    }

    [Theory]
    [InlineData("queued", 0, 1)]
    [InlineData("sent", 0, 0)]
    [InlineData("failed", 1, 1)]
    [InlineData("undelivered", 1, 1)]
    [InlineData("canceled", 1, 1)]
    public async Task That_pages_somebody_and_was_found_in_the_carriers_list_is_watched_like_one_that_was_answered(string listed, int atOnce, int afterThreeMinutes)
    {
        _portal.Carrier.NextLostAnswers.Enqueue(503);
        await Queue("a", OutgoingKind.PageText);
        await _portal.RunJobs();
        _portal.Carrier.Status.Last[Assert.Single(_portal.Carrier.Lines).Sid] = listed;
        await Wait(seconds: 4);
        Assert.Equal((OutgoingState.Accepted, atOnce), ((await Row()).State, await NotDelivered()));
        await Wait(seconds: 170);
        Assert.Equal(atOnce, await NotDelivered());
        await Wait(seconds: 10);
        Assert.Equal(afterThreeMinutes, await NotDelivered());
        Assert.Single(_portal.Carrier.Lines);
    }

    [Fact]
    public async Task To_a_patient_who_wrote_STOP_is_refused_by_the_carrier_and_somebody_rings()
    {
        await _portal.Carrier.Text(Listening_portal.Patient, Listening_portal.Patients, "STOP");
        await _portal.Carrier.Text(Listening_portal.Patient, Listening_portal.Patients, "my skin has gone white");
        await _portal.RunJobs();
        Assert.Contains(await _portal.Read(db => db.Outgoing.ToListAsync()), o => o is { Kind: OutgoingKind.SafetyReply, State: OutgoingState.Refused, RefusedCode: 21610 });
        Assert.True(await NotDelivered() > 0);
        Assert.DoesNotContain(_portal.Carrier.Lines, l => l.To == Listening_portal.Patient);
        await _portal.Carrier.Text(Listening_portal.Patient, Listening_portal.Patients, "START");
        await _portal.Carrier.Text(Listening_portal.Patient, Listening_portal.Patients, "it hurts more and more");
        await _portal.RunJobs();
        Assert.Contains(_portal.Carrier.Lines, l => l.To == Listening_portal.Patient);
    }

    [Fact]
    public async Task With_the_words_of_an_earlier_one_is_not_taken_for_it()
    {
        foreach (var key in new[] { "first", "second" })
        {
            if (key == "second") _portal.Carrier.NextFaults.Enqueue(503);
            await _portal.Read(async db =>
            {
                await db.QueueOnce(key, OutgoingKind.PageText, Listening_portal.Pages, Listening_portal.Patient, "the same words", _portal.Time.GetCurrentInstant(), default);
                return await db.SaveChangesAsync();
            });
            await _portal.RunJobs();
        }

        await Wait(seconds: 4);
        Assert.Equal(2, _portal.Carrier.Lines.Count);
    }

    [Theory]
    [InlineData(null, 1)]
    [InlineData("queued", 1)]
    [InlineData("sent", 0)]
    [InlineData("delivered", 0)]
    public async Task That_pages_somebody_and_is_never_reported_as_sent_counts_as_not_arrived(string? status, int notArrived)
    {
        await Queue("a", OutgoingKind.PageText);
        await _portal.RunJobs();
        _portal.Carrier.Status.Last[(await Row()).CarrierId!] = "queued";
        if (status is not null) await _portal.Report((await Row()).Id, status);
        await Wait(seconds: 179);
        Assert.Equal(0, await NotDelivered());
        await Wait(seconds: 2);
        Assert.Equal(notArrived, await NotDelivered());
    }

    [Fact]
    public async Task That_pages_somebody_and_whose_report_was_lost_is_looked_up_in_the_carriers_list()
    {
        await Queue("a", OutgoingKind.PageText);
        await _portal.RunJobs();
        _portal.Carrier.Status.Last[(await Row()).CarrierId!] = "delivered";
        await Wait(seconds: 181);
        Assert.Equal((0, "delivered"), (await NotDelivered(), await _portal.Read(db => db.Deliveries.Select(d => d.Status).SingleAsync())));
    }

    [Fact]
    public async Task To_a_patient_who_reports_passes_two_hundred_steps_that_wait()
    {
        for (var i = 0; i < 200; i++) await Queue($"step {i}", OutgoingKind.Step);
        await _portal.Deliver("SM1", "my skin has gone white and cold where you injected and it is getting worse");
        using var enough = new CancellationTokenSource();
        _portal.Carrier.Took += _ => enough.Cancel();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => _portal.Part<JobRunner>().RunDue(enough.Token));
        Assert.Contains("911", Assert.Single(_portal.Carrier.Lines).Text);      // it came last and went first
    }

    [Fact]
    public async Task That_pages_somebody_is_given_up_after_two_minutes_because_a_late_page_misleads()
    {
        for (var i = 0; i < 100; i++) _portal.Carrier.NextFaults.Enqueue(503);
        await Queue("a", OutgoingKind.PageText);
        await _portal.RunJobs();
        for (var i = 0; i < 50; i++) await Wait(seconds: 4);
        Assert.Equal(OutgoingState.TooLate, (await Row()).State);
    }

    [Fact]
    public async Task That_rings_somebody_is_not_repeated_for_longer_than_a_page_by_text()
    {
        for (var i = 0; i < 100; i++) _portal.Carrier.NextFaults.Enqueue(503);
        await Queue("a", OutgoingKind.PageCall);
        await _portal.RunJobs();
        for (var i = 0; i < 50; i++) await Wait(seconds: 4);
        Assert.Equal(OutgoingState.TooLate, (await Row()).State);
    }

    [Fact]
    public async Task That_waited_for_the_morning_is_tried_again_for_hours_from_its_first_try_and_not_from_when_it_was_made()
    {
        await Wait(seconds: 3 * 3600);                                          // 21:40, in quiet hours
        await Queue("a", OutgoingKind.Notice);
        await _portal.RunJobs();
        for (var i = 0; i < 3; i++) _portal.Carrier.NextFaults.Enqueue(429);
        await Wait(seconds: 11 * 3600);                                         // 08:40
        Assert.Equal((OutgoingState.Pending, 0), ((await Row()).State, _portal.Carrier.Lines.Count));
        for (var i = 0; i < 3; i++) await Wait(seconds: 1800);
        Assert.Equal(OutgoingState.Accepted, (await Row()).State);
        Assert.Single(_portal.Carrier.Lines);
    }

    [Fact]
    public async Task That_the_carrier_is_too_busy_for_is_given_up_four_hours_after_its_first_try()
    {
        for (var i = 0; i < 20; i++) _portal.Carrier.NextFaults.Enqueue(429);
        await _portal.Read(async db =>
        {
            await db.QueueOnce("a", OutgoingKind.Notice, Listening_portal.Patients, Listening_portal.Patient, "words", _portal.Time.GetCurrentInstant(), default);
            return await db.SaveChangesAsync();
        });
        await Wait(seconds: 14 * 3600);
        await Wait(seconds: (4 * 3600) - 60);
        Assert.Equal(OutgoingState.Pending, (await Row()).State);
        await Wait(seconds: 120);
        Assert.Equal(OutgoingState.TooLate, (await Row()).State);
    }

    [Fact]
    public async Task Of_an_aftercare_plan_is_held_back_after_a_STOP()
    {
        await _portal.Deliver("SM1", "STOP");
        await _portal.RunJobs();
        await Queue("a", OutgoingKind.Step);
        await _portal.RunJobs();
        Assert.Empty(_portal.Carrier.Lines);
        Assert.Equal(OutgoingState.HeldBack, (await Row()).State);
    }

    [Fact]
    public async Task The_carrier_refuses_because_it_holds_a_STOP_we_never_heard_of_is_the_last_until_START()
    {
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "STOP");
        await Queue("a", OutgoingKind.Step);
        await _portal.RunJobs();
        Assert.Equal((OutgoingState.Refused, 21610), ((await Row()).State, (await Row()).RefusedCode));
        await Queue("b", OutgoingKind.Step);
        await _portal.RunJobs();
        Assert.Equal(OutgoingState.HeldBack, await _portal.Read(db => db.Outgoing.Where(o => o.Key == "b").Select(o => o.State).SingleAsync()));
        _portal.Time.Advance(TimeSpan.FromSeconds(1));
        await _portal.Carrier.Text(Listening_portal.Patient, Listening_portal.Patients, "START");
        await Queue("c", OutgoingKind.Step);
        await _portal.RunJobs();
        Assert.Equal("words of c", Assert.Single(_portal.Carrier.Lines).Text);
    }

    private Task<int> Queue(string key, OutgoingKind kind) => _portal.Read(async db =>
    {
        await db.QueueOnce(key, kind, Listening_portal.Patients, Listening_portal.Patient, $"words of {key}", _portal.Time.GetCurrentInstant(), default);
        return await db.SaveChangesAsync();
    });

    private async Task Wait(int seconds)
    {
        _portal.Time.Advance(TimeSpan.FromSeconds(seconds));
        await _portal.RunJobs();
    }

    private Task<int> NotDelivered() => _portal.Read(db => db.Jobs.CountAsync(j => j.Kind == MessageJobs.NotDelivered));

    private Task<OutgoingRow> Row() => _portal.Read(db => db.Outgoing.SingleAsync());
}
