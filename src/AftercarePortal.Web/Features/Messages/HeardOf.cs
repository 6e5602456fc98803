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

    public string Kind => MessageJobs.HeardOf;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        if (!IsSilence(await db.Deliveries.Where(d => d.OutgoingId == id).Select(d => d.Status).ToListAsync(stop))) return;      // sent, or its failure is acted on already
        if (await db.Jobs.AnyAsync(j => j.Kind == MessageJobs.NotDelivered && j.Subject == subject, stop)) return;   // a second run
        var page = await db.Outgoing.AsNoTracking().SingleAsync(o => o.Id == id, stop);
        var now = time.GetCurrentInstant();
        var listed = await Listed(page);
        if (listed is null || IsSilence([listed.Status])) db.Enqueue(MessageJobs.NotDelivered, subject, now, lane: 0);
        else db.NoteStatus(page, listed.Status, listed.ErrorCode, now);
        await db.SaveChangesAsync(stop);
    }

    /// <summary>Puts the look at a page the carrier took into the current unit of work; of anything else nothing.</summary>
    /// <param name="taken">When the carrier took it.</param>
    public static void LookAt(PortalDb db, OutgoingRow page, Instant taken)
    {
        if (page.Kind is OutgoingKind.PageText) db.Enqueue(MessageJobs.HeardOf, page.Id.ToString(), taken + Within, lane: JobTable.CallLane);
    }

    /// <summary>Whether the statuses say no more than that the carrier holds it, or nothing we know.</summary>
    public static bool IsSilence(IReadOnlyList<string> statuses) => DeliveryStandings.Of(statuses) < DeliveryStanding.Sent;

    private async Task<SentText?> Listed(OutgoingRow page)
    {
        if (page.CarrierId is null) return null;
        try
        {
            return await carrier.FindSent(page.To, page.CarrierId);
        }
        catch (Twilio.Exceptions.TwilioException)
        {
            return null;                                                        // no list: as if it had not been sent
        }
    }
}
