using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>The carrier took a page and never reported that it sent it. Reports get lost, so its list is asked; not sent there either, it counts as not arrived.</summary>
/// <remarks><c>sent</c> is enough: some networks never confirm more (carrier's change log, 2023-02-14).</remarks>
internal sealed class HeardOf(PortalDb db, TwilioCarrier carrier, TimeProvider time) : IJobHandler
{
    /// <summary>How long the carrier has to say so: a minute longer than it may hold a page.</summary>
    public static readonly Duration Within = Duration.FromMinutes(3);

    private static readonly string[] Silence = ["accepted", "scheduled", "queued", "sending"];

    public string Kind => MessageJobs.HeardOf;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        if (await db.Deliveries.AnyAsync(d => d.OutgoingId == id && !Silence.Contains(d.Status), stop)) return;      // sent, or its failure is acted on already
        if (await db.Jobs.AnyAsync(j => j.Kind == MessageJobs.NotDelivered && j.Subject == subject, stop)) return;   // a second run
        var page = await db.Outgoing.AsNoTracking().SingleAsync(o => o.Id == id, stop);
        var now = time.GetCurrentInstant();
        var listed = await StatusOf(page, stop);
        var reported = listed is not null && !Silence.Contains(listed);
        if (reported) db.Add(new DeliveryRow { ClinicId = page.ClinicId, OutgoingId = id, Status = listed!, ReceivedAt = now });
        if (!reported || MessageTable.NotArrived.Contains(listed)) db.Enqueue(MessageJobs.NotDelivered, subject, now, lane: 0);
        await db.SaveChangesAsync(stop);
    }

    private async Task<string?> StatusOf(OutgoingRow page, CancellationToken stop)
    {
        if (page.CarrierId is null) return null;
        try
        {
            return await carrier.StatusOf(page.To, page.CarrierId);
        }
        catch (Exception away) when (away is Twilio.Exceptions.TwilioException or HttpRequestException or TaskCanceledException && !stop.IsCancellationRequested)
        {
            return null;                                                        // no list: as if it had not been sent
        }
    }
}
