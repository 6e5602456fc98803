using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>The carrier took a page and never said that it sent it: as good as not arrived, so the next person is paged.</summary>
/// <remarks>
/// Matters where no call goes out beside the text and one person has an hour (same day); the heavier tiers have moved on by then.
/// <c>sent</c> is enough: some networks never confirm more (carrier's change log, 2023-02-14).
/// </remarks>
internal sealed class HeardOf(PortalDb db, TimeProvider time) : IJobHandler
{
    /// <summary>How long the carrier has to say so: five times as long as it may hold a page.</summary>
    public static readonly Duration Within = Duration.FromMinutes(10);

    private static readonly string[] Silence = ["accepted", "scheduled", "queued", "sending"];

    public string Kind => MessageJobs.HeardOf;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        if (await db.Deliveries.AnyAsync(d => d.OutgoingId == id && !Silence.Contains(d.Status), stop)) return;      // sent, or its failure is acted on already
        if (await db.Jobs.AnyAsync(j => j.Kind == MessageJobs.NotDelivered && j.Subject == subject, stop)) return;   // a second run
        db.Enqueue(MessageJobs.NotDelivered, subject, time.GetCurrentInstant(), lane: 0);
        await db.SaveChangesAsync(stop);
    }
}
