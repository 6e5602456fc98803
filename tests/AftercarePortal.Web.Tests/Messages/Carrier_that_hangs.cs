using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Proof;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

/// <summary>The carrier takes a request and does not answer: the portal's own workers, each waiting for it, must leave one for pages.</summary>
public sealed class Carrier_that_hangs : IAsyncLifetime
{
    private const int OnCall = 30, WorkersThatMayHang = JobRunner.QuickWorkers - 1;
    private const string Other = "+12025550124";
    private readonly Listening_portal _portal = new() { ListSeconds = 1 };
    private readonly TaskCompletionSource _answers = new();
    private int _hanging;

    public Task InitializeAsync() => _portal.InitializeAsync();

    public Task DisposeAsync()
    {
        _answers.TrySetResult();
        return _portal.DisposeAsync();
    }

    [Fact]
    public async Task On_every_call_still_takes_pages_by_text_and_the_answer_to_a_second_patient()
    {
        HangOn((isCall, _) => isCall);
        await Staff();
        await _portal.StartWorkers();
        await _portal.Deliver("SM1", "I cannot breathe and my lips are swelling");
        await Until.True("as many calls hang as can", () => Task.FromResult(_hanging >= WorkersThatMayHang));

        await _portal.Deliver("SM2", "I cannot see out of one eye", from: Other);
        await Until.True("the second patient is answered", () => Task.FromResult(Texts(Other) > 0));
        Assert.True(_hanging < OnCall, "every call was tried before the second text was read");
        await Until.True("everyone is paged by text for both", () => Task.FromResult(Pages() >= 2 * OnCall));
        Assert.DoesNotContain(_portal.Carrier.Lines, l => l.IsCall);
    }

    [Fact]
    public async Task On_everyday_texts_still_takes_pages_and_an_answer()
    {
        HangOn((_, to) => to == Other);
        await Staff();
        await _portal.Read(async db =>
        {
            for (var i = 0; i < 20; i++)
                await db.QueueOnce($"notice {i}", OutgoingKind.Notice, Listening_portal.Patients, Other, "Something waits to be read.", _portal.Time.GetCurrentInstant(), default);
            return await db.SaveChangesAsync();
        });
        await _portal.StartWorkers();
        await Until.True("as many everyday texts hang as can", () => Task.FromResult(_hanging >= WorkersThatMayHang));
        await Task.Delay(TimeSpan.FromSeconds(1));
        Assert.Equal(WorkersThatMayHang, _hanging);

        await _portal.Deliver("SM1", "I cannot breathe and my lips are swelling");
        await Until.True("the patient is answered", () => Task.FromResult(Texts(Listening_portal.Patient) > 0));
        await Until.True("everyone is paged", () => Task.FromResult(Pages() >= OnCall));
        Assert.Equal(0, Texts(Other));
    }

    [Fact]
    public async Task On_every_text_still_places_calls_and_reads_what_a_second_patient_writes()
    {
        HangOn((isCall, _) => !isCall);
        await Staff();
        await _portal.StartWorkers();
        await _portal.Deliver("SM1", "I cannot breathe and my lips are swelling");
        await Until.True("everyone is called", () => Task.FromResult(Calls() >= OnCall));
        await _portal.Deliver("SM2", "I cannot see out of one eye", from: Other);
        await Until.True("the second text is read", async () => await _portal.Read(db => db.Readings.CountAsync()) == 2);
        await Until.True("everyone is called again", () => Task.FromResult(Calls() >= 2 * OnCall));
        Assert.True(_hanging < OnCall, "every text was tried before the second patient was heard");
    }

    [Fact]
    public async Task On_its_list_still_takes_a_page_that_is_repeated()
    {
        var (asked, taken) = (new TaskCompletionSource(), new TaskCompletionSource());
        _portal.Carrier.NextFaults.Enqueue(503);
        await _portal.Read(async db =>
        {
            await db.QueueOnce("a", OutgoingKind.PageText, Listening_portal.Pages, Other, "words", _portal.Time.GetCurrentInstant(), default);
            return await db.SaveChangesAsync();
        });
        await _portal.RunJobs();
        _portal.Carrier.Took += _ => taken.TrySetResult();
        _portal.Carrier.ListsHang = () =>
        {
            asked.TrySetResult();
            return _answers.Task;
        };
        _portal.Time.Advance(TimeSpan.FromSeconds(4));
        var repeated = _portal.RunJobs();
        await asked.Task;
        await taken.Task.WaitAsync(TimeSpan.FromSeconds(9));                    // sooner than any answer of the carrier is waited for
        await repeated;
        Assert.Single(_portal.Carrier.Lines);
    }

    private int Calls() => _portal.Carrier.Lines.Count(l => l.IsCall);

    private int Texts(string to) => _portal.Carrier.Lines.Count(l => !l.IsCall && l.To == to);

    private int Pages() => _portal.Carrier.Lines.Count(l => !l.IsCall && l.From == Listening_portal.Pages);

    private void HangOn(Func<bool, string, bool> which) => _portal.Carrier.Hangs = (isCall, to) =>
    {
        if (!which(isCall, to)) return Task.CompletedTask;
        Interlocked.Increment(ref _hanging);
        return _answers.Task;
    };

    // Nobody holds a shift now, and everybody had one lately: everyone is paged at once.
    private Task<int> Staff() => _portal.Read(async db =>
    {
        var now = _portal.Time.GetCurrentInstant();
        for (var i = 0; i < OnCall; i++) db.Add(new ShiftRow { Person = $"Person {i}", Number = $"+1202555{130 + i:0000}", Order = 1, From = now - Duration.FromDays(2), To = now - Duration.FromDays(1) });
        return await db.SaveChangesAsync();
    });
}
