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

    /// <summary>Our own word among a page's reports: the carrier's list says that it was not sent.</summary>
    public const string Unsent = "unsent";

    /// <summary>Our own word among a page's reports: the list was away, so nobody knows. Whoever is next is paged, and the number is blamed for nothing.</summary>
    public const string Unheard = "unheard";

    public string Kind => MessageJobs.HeardOf;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        var said = await db.Deliveries.Where(d => d.OutgoingId == id).Select(d => d.Status).ToListAsync(stop);
        if (!IsSilence(said) || said.Contains(Unsent) || said.Contains(Unheard)) return;      // sent, or its failure is acted on already
        var page = await db.Outgoing.AsNoTracking().SingleAsync(o => o.Id == id, stop);
        var now = time.GetCurrentInstant();
        var (listed, away) = await Listed(page);
        if (listed is not null && !IsSilence([listed.Status])) db.NoteStatus(page, listed.Status, listed.ErrorCode, now);
        else
        {
            db.NoteStatus(page, away ? Unheard : Unsent, null, now);
            db.Enqueue(MessageJobs.NotDelivered, subject, now, lane: 0);
        }

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

    private async Task<(SentText? Listed, bool Away)> Listed(OutgoingRow page)
    {
        if (page.CarrierId is null) return (null, true);
        try
        {
            return (await carrier.FindSent(page.To, page.CarrierId), false);
        }
        catch (Twilio.Exceptions.TwilioException)
        {
            return (null, true);
        }
    }
}
