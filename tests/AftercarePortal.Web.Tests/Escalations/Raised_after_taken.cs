using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Escalations;

/// <summary>A report that gets worse after somebody took it: whoever has it may be asleep again, and must say that they know.</summary>
public sealed class Raised_after_taken : IAsyncLifetime
{
    private const string First = "+12025550110";
    private const string Second = "+12025550111";
    private const string Third = "+12025550112";
    private readonly Listening_portal _portal = new();

    public async Task InitializeAsync()
    {
        await _portal.InitializeAsync();
        await _portal.Read(async db =>
        {
            foreach (var (person, number, order) in new[] { ("Iris Hale", First, 1), ("Tomas Reed", Second, 2), ("Ada Finch", Third, 3) })
                db.Add(new ShiftRow { Person = person, Number = number, Order = order, From = Instant.FromUtc(2026, 11, 1, 0, 0), To = Instant.FromUtc(2026, 12, 31, 0, 0) });
            return await db.SaveChangesAsync();
        });
        await Report("SM1", "theres a pale patch on my chin");
        await Take(First);
        await Wait(minutes: 2);
    }

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Asks_whoever_has_it_by_text_and_voice_and_nobody_else()
    {
        await Report("SM2", "and its cold");
        Assert.Equal((Tier.Emergency, "Iris Hale"), ((await Escalation()).Tier, (await Escalation()).TakenBy));
        Assert.Equal((2, 2, 0), (await Pages(First), await Pages(First, OutgoingKind.PageCall), await Pages(Second)));
    }

    [Fact]
    public async Task Not_confirmed_in_the_tiers_time_pages_the_next_and_then_everyone_and_the_patient_hears_it()
    {
        await Report("SM2", "and its cold");
        await Wait(minutes: 2);
        Assert.Equal(0, await Pages(Second));
        await Wait(minutes: 2);
        Assert.Null((await Escalation()).TakenBy);
        Assert.Equal((2, 1, 0), (await Pages(First), await Pages(Second), await Pages(Third)));
        Assert.Contains(await Sent(), m => m.To == Listening_portal.Patient && m.Text.StartsWith("Your report waits for a clinician again"));
        await Wait(minutes: 5);
        Assert.Equal((3, 2, 1), (await Pages(First), await Pages(Second), await Pages(Third)));
        await Wait(minutes: 6);
        Assert.Equal((4, 3, 2), (await Pages(First), await Pages(Second), await Pages(Third)));
        var calls = (await Sent()).Where(o => o.Kind is OutgoingKind.PageCall).ToList();
        Assert.Contains("The next person will be called", calls[0].Text);
        Assert.Contains("Everyone has been called", calls[^1].Text);
    }

    [Fact]
    public async Task Not_confirmed_pages_the_next_also_when_the_clock_was_set_back_since_it_was_taken()
    {
        _portal.Time.AdjustTime(_portal.Time.GetUtcNow().AddMinutes(-20));
        await Report("SM2", "and its cold");
        await Wait(minutes: 2);
        await Wait(minutes: 2);
        Assert.Equal((null, 1), ((await Escalation()).TakenBy, await Pages(Second)));
        Assert.Equal("Raised, Paged, NotConfirmed, Paged", string.Join(", ", (await Events()).SkipWhile(e => e.What is not EscalationEvent.Raised).Select(e => e.What)));
    }

    [Fact]
    public async Task What_waits_to_be_told_to_the_patient_is_told_only_while_it_is_so()
    {
        var report = await Escalation();
        await _portal.Read(async db =>
        {
            foreach (var what in new[] { TellKey.Reopened, TellKey.NobodyYet, TellKey.Taken }) db.Queue(new TellKey(report.Id, 9, what).ToString(), OutgoingKind.SafetyReply, Listening_portal.Patients, Listening_portal.Patient, what, _portal.Time.GetCurrentInstant(), report: report.Id);
            return await db.SaveChangesAsync();
        });
        await _portal.RunJobs();
        Assert.Equal([(TellKey.NobodyYet, OutgoingState.HeldBack), (TellKey.Reopened, OutgoingState.HeldBack), (TellKey.Taken, OutgoingState.Accepted)], (await Sent()).Where(o => o.Key.StartsWith($"tell:{report.Id}:9:")).Select(o => (o.Text, o.State)).OrderBy(o => o.Text));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Confirmed_by_a_text_or_a_key_pages_nobody_else_and_the_patient_hears_that_it_is_known(bool byText)
    {
        await Report("SM2", "and its cold");
        if (byText) await Take(First);
        else Assert.Equal(200, await _portal.Press((await Escalation()).Id, First, "1", round: 2));
        await Wait(minutes: 5);
        Assert.Equal("Iris Hale", (await Escalation()).TakenBy);
        Assert.Equal(0, await Pages(Second));
        Assert.Equal(2, (await Sent()).Count(m => m.To == Listening_portal.Patient && m.Text.StartsWith("A clinician has taken your report")));
        Assert.Equal("Raised, Paged, Confirmed", string.Join(", ", (await Events()).SkipWhile(e => e.What is not EscalationEvent.Raised).Select(e => e.What)));
    }

    [Fact]
    public async Task A_warning_sign_not_written_before_asks_them_too_though_the_tier_stays()
    {
        await Report("SM2", "and its cold");
        await Take(First);
        await Report("SM3", "now I cannot see out of one eye");
        Assert.Equal(EscalationEvent.NewSigns, (await Events()).Last(e => e.What is not EscalationEvent.Paged).What);
        await Wait(minutes: 5);
        Assert.Equal(1, await Pages(Second));
    }

    [Fact]
    public async Task The_same_sign_written_again_tells_them_by_one_text_and_asks_nothing()
    {
        await Report("SM2", "and its cold");
        await Take(First);
        await Report("SM3", "its cold");
        Assert.Contains(await Sent(), o => o.To == First && o.Key.StartsWith("more:"));
        await Wait(minutes: 10);
        Assert.Equal(0, await Pages(Second));
    }

    [Fact]
    public async Task A_text_to_them_that_fails_pages_the_next_at_once_and_a_busy_line_does_not()
    {
        await Report("SM2", "and its cold");
        await Fails(OutgoingKind.PageCall, "busy");
        Assert.Equal(0, await Pages(Second));
        await Fails(OutgoingKind.PageText, "undelivered");
        Assert.Equal(1, await Pages(Second));
    }

    [Fact]
    public async Task STOP_from_them_pages_the_next_at_once()
    {
        await Report("SM2", "and its cold");
        await _portal.Deliver("SMstop", "STOP", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        Assert.Equal(1, await Pages(Second));
    }

    [Fact]
    public async Task Whoever_takes_it_over_has_it_and_the_first_is_told_so()
    {
        await Report("SM2", "and its cold");
        await Wait(minutes: 5);
        await Take(Second);
        Assert.Equal("Tomas Reed", (await Escalation()).TakenBy);
        await _portal.Deliver("SMlate", $"TAKE {(await Escalation()).Ref}", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        Assert.Contains(await Sent(), o => o.To == First && o.Text.EndsWith("Tomas Reed has it.", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Raised_again_before_they_confirm_is_confirmed_once()
    {
        await Report("SM2", "it hurts more and more");
        await Report("SM3", "I cannot see out of one eye");
        await Wait(minutes: 2);
        await Take(First);
        await Wait(minutes: 10);
        Assert.Equal(("Iris Hale", 0), ((await Escalation()).TakenBy, await Pages(Second)));
    }

    [Fact]
    public async Task Sign_after_sign_the_time_they_have_counts_from_the_first_they_did_not_answer()
    {
        await Report("SM2", "and its cold");
        await Wait(minutes: 2);
        await Report("SM3", "now I cannot see out of one eye");
        Assert.Equal("Iris Hale", (await Escalation()).TakenBy);
        await Wait(minutes: 2);
        Assert.Equal((null, 1), ((await Escalation()).TakenBy, await Pages(Second)));
        await Wait(minutes: 3);                                                 // the time of the second asking is over too, and moves nobody on
        Assert.Equal(1, await Pages(Second));
    }

    [Fact]
    public async Task A_key_pressed_in_an_older_call_confirms_nothing_asked_since()
    {
        await Report("SM2", "and its cold");
        await Report("SM3", "now I cannot see out of one eye");
        Assert.Equal(200, await _portal.Press((await Escalation()).Id, First, "1", round: 2));
        await Wait(minutes: 5);
        Assert.Equal((null, 1), ((await Escalation()).TakenBy, await Pages(Second)));
    }

    [Theory]
    [InlineData("TAKE")]
    [InlineData("PASS")]
    public async Task A_text_found_late_answers_nothing_asked_after_it_was_written(string word)
    {
        _portal.Carrier.TextWithoutWebhook(First, Listening_portal.Pages, $"{word} {(await Escalation()).Ref}");
        await Wait(minutes: 1);
        await Report("SM2", "and its cold");
        Assert.Equal(1, await _portal.Sweep());
        await _portal.RunJobs();
        Assert.Contains(await Sent(), o => o.To == First && o.Text.Contains("something new since your text"));
        await Wait(minutes: 5);
        Assert.Equal((null, 1), ((await Escalation()).TakenBy, await Pages(Second)));
    }

    [Fact]
    public async Task A_text_found_late_that_was_written_after_the_asking_answers_it()
    {
        await Report("SM2", "and its cold");
        await Wait(minutes: 1);
        _portal.Carrier.TextWithoutWebhook(First, Listening_portal.Pages, "TAKE");
        await Wait(minutes: 1);
        Assert.Equal(1, await _portal.Sweep());
        await _portal.RunJobs();
        await Wait(minutes: 5);
        Assert.Equal(("Iris Hale", 0), ((await Escalation()).TakenBy, await Pages(Second)));
    }

    [Fact]
    public async Task A_text_written_in_time_and_found_after_it_takes_it_again()
    {
        await Report("SM2", "and its cold");
        await Wait(minutes: 1);
        _portal.Carrier.TextWithoutWebhook(First, Listening_portal.Pages, $"TAKE {(await Escalation()).Ref}");
        await Wait(minutes: 4);
        Assert.Null((await Escalation()).TakenBy);
        Assert.Equal(1, await _portal.Sweep());
        await _portal.RunJobs();
        Assert.Equal("Iris Hale", (await Escalation()).TakenBy);
    }

    [Fact]
    public async Task A_text_acted_on_again_after_a_crash_does_nothing_twice()
    {
        await Report("SM2", "and its cold");
        await Take(First);
        await Report("SM3", "now I cannot see out of one eye");
        await _portal.Read(async db =>
        {
            var answered = await db.Jobs.OrderBy(j => j.Id).LastAsync(j => j.Kind == MessageJobs.StaffReply);
            db.Enqueue(answered.Kind, answered.Subject, answered.DueAt);        // as when the process ends before the job's end is kept
            return await db.SaveChangesAsync();
        });
        await _portal.RunJobs();
        Assert.NotNull((await Escalation()).ConfirmRound);
        await Wait(minutes: 5);
        Assert.Equal(1, await Pages(Second));
    }

    [Fact]
    public async Task Raised_while_everyone_is_asked_everyone_stays_asked()
    {
        await _portal.Deliver("SMpass", "PASS", to: Listening_portal.Pages, from: First);
        await _portal.Deliver("SMpass2", $"PASS {(await Escalation()).Ref}", to: Listening_portal.Pages, from: First);
        await _portal.RunJobs();
        var before = (await Pages(First), await Pages(Second), await Pages(Third));
        await Report("SM2", "and its cold");
        Assert.Equal((before.Item1 + 1, before.Item2 + 1, before.Item3 + 1), (await Pages(First), await Pages(Second), await Pages(Third)));
    }

    private async Task Fails(OutgoingKind kind, string status)
    {
        Assert.Equal(200, await _portal.Report((await Sent()).Last(o => o.To == First && o.Kind == kind).Id, status));
        await _portal.RunJobs();
    }

    private async Task Take(string number)
    {
        await _portal.Deliver($"SMtake{Guid.NewGuid()}", "TAKE", to: Listening_portal.Pages, from: number);
        await _portal.RunJobs();
    }

    private async Task<int> Pages(string number, OutgoingKind kind = OutgoingKind.PageText) => (await Sent()).Count(o => o.To == number && o.Key.StartsWith("page:") && o.Kind == kind);

    private async Task Report(string sid, string text)
    {
        Assert.Equal(200, await _portal.Deliver(sid, text));
        await _portal.RunJobs();
    }

    private async Task Wait(int minutes)
    {
        _portal.Time.Advance(TimeSpan.FromMinutes(minutes));
        await _portal.RunJobs();
    }

    private Task<List<EscalationEventRow>> Events() => _portal.Read(async db => (await db.EscalationEvents.ToListAsync()).InOrder().ToList());

    private Task<List<OutgoingRow>> Sent() => _portal.Read(db => db.Outgoing.OrderBy(o => o.MadeAt).ThenBy(o => o.Id).ToListAsync());

    private Task<EscalationRow> Escalation() => _portal.Read(db => db.Escalations.SingleAsync());
}
