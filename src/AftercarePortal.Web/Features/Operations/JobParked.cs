using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>A job was given up: whoever is on call must look; everyone, when it was a page, a safety reply or a reading; a message that could not be read opens a report as it is. May run twice; pages once.</summary>
/// <remarks>Of a kind that is given up by the hundred the first pages, and one more page says at the end of the span that there are others: alarms never stand before a report's pages.</remarks>
internal sealed class JobParked(PortalDb db, PageStaff page, TimeProvider time) : IJobHandler
{
    /// <summary>One alarm of a kind, and one for all that came after it, in so long: of everyday work, and of pages, safety replies, reading and calls.</summary>
    private static readonly Duration Span = Duration.FromMinutes(30), SafetySpan = Duration.FromMinutes(5);

    public string Kind => JobRunner.JobParked;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        var parked = await db.Jobs.AsNoTracking().SingleAsync(j => j.Id == id && j.ClinicId == db.ClinicId, stop);
        if (await SendsAnAlarm(parked, stop)) return;                           // an alarm about an alarm would never end
        // A save of its own: an alarm that fails must not keep the words from a person.
        if (await db.GiveUnread(parked.Kind, parked.Subject, time.GetCurrentInstant(), stop)) await db.SaveChangesAsync(stop);
        await Alarm(parked, subject, time.GetCurrentInstant(), stop);
        await db.SaveChangesAsync(stop);
    }

    private async Task Alarm(JobRow parked, string subject, Instant now, CancellationToken stop)
    {
        if (parked.ParkedAt is not { } at || parked.DoneAt is not null) return;         // tried again meanwhile: somebody looks
        var everyone = parked.Lane <= JobTable.LastSafetyLane;
        var span = everyone ? SafetySpan : Span;
        var turn = at.ToUnixTimeSeconds() / (long)span.TotalSeconds;
        var (about, ends) = ($"parked:{parked.Kind}:{turn}", Instant.FromUnixTimeSeconds((turn + 1) * (long)span.TotalSeconds));
        var told = await page.FirstPagedAt(about, now, stop);
        if (told is null || now >= ends) await page.Run(told is null ? about : about + ":more", everyone, "page-alarm", "/Operations", now, stop);
        // Whoever was paged before this one was given up may have looked already.
        else if (told <= at) db.Enqueue(Kind, subject, ends, everyone ? 0 : 5);
    }

    private async Task<bool> SendsAnAlarm(JobRow parked, CancellationToken stop) =>
        parked.Kind is MessageJobs.Send or MessageJobs.NotDelivered && Guid.TryParse(parked.Subject, out var outgoing)
        && await db.Outgoing.AnyAsync(o => o.Id == outgoing && o.Key.StartsWith(PageStaff.Key + ":"), stop);
}
