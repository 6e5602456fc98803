using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

/// <summary>How a text fared, as the loopback carrier reports it over HTTP, signed.</summary>
public sealed class Status_reports : IAsyncLifetime
{
    private readonly Listening_portal _portal = new();

    public Task InitializeAsync() => _portal.InitializeAsync();

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Of_a_text_that_arrived_are_kept_in_their_order()
    {
        await Send(OutgoingKind.SafetyReply);
        await _portal.Carrier.Status.Run(Assert.Single(_portal.Carrier.Lines));
        Assert.Equal(["queued", "sent", "delivered"], (await Reports()).Select(d => d.Status));
        Assert.Equal(0, await NotDelivered());
    }

    [Theory]
    [InlineData("undelivered", 30003)]
    [InlineData("failed", 30008)]
    public async Task Of_a_text_that_did_not_arrive_set_somebody_to_act(string status, int code)
    {
        await Send(OutgoingKind.SafetyReply);
        _portal.Carrier.Status.NextBadEnds.Enqueue(new(status, code));
        await _portal.Carrier.Status.Run(Assert.Single(_portal.Carrier.Lines));
        var last = (await Reports())[^1];
        Assert.Equal((status, code), (last.Status, last.ErrorCode));
        Assert.Equal(1, await NotDelivered());
    }

    [Fact]
    public async Task Of_a_call_nobody_answered_set_somebody_to_act()
    {
        await Send(OutgoingKind.PageCall);
        _portal.Carrier.Status.NextBadEnds.Enqueue(new("no-answer", 0));
        await _portal.Carrier.Status.Run(Assert.Single(_portal.Carrier.Lines));
        Assert.Equal(["initiated", "ringing", "no-answer"], (await Reports()).Select(d => d.Status));
        Assert.Equal(1, await NotDelivered());
    }

    private async Task Send(OutgoingKind kind)
    {
        await _portal.Read(async db =>
        {
            await db.QueueOnce("a", kind, Listening_portal.Patients, Listening_portal.Patient, "<Response/>", _portal.Time.GetCurrentInstant(), default);
            return await db.SaveChangesAsync();
        });
        await _portal.RunJobs();
    }

    private Task<List<DeliveryRow>> Reports() => _portal.Read(db => db.Deliveries.OrderBy(d => d.Id).ToListAsync());

    private Task<int> NotDelivered() => _portal.Read(db => db.Jobs.CountAsync(j => j.Kind == MessageJobs.NotDelivered));
}
