using AftercarePortal.Web.Features.Messages;
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
        await Wait(seconds: 4);
        Assert.Single(_portal.Carrier.Lines);
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
    public async Task Of_an_aftercare_plan_is_held_back_after_a_STOP()
    {
        await _portal.Deliver("SM1", "STOP");
        await _portal.RunJobs();
        await Queue("a", OutgoingKind.Step);
        await _portal.RunJobs();
        Assert.Empty(_portal.Carrier.Lines);
        Assert.Equal(OutgoingState.HeldBack, (await Row()).State);
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

    private Task<OutgoingRow> Row() => _portal.Read(db => db.Outgoing.SingleAsync());
}
