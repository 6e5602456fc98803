using System.Data.Common;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>Tells an outside watchdog whether pages would go out: 200 or 503, and nothing else (H15).</summary>
/// <remarks>Well: the database answers, every worker of a process that works went round lately, no page, safety reply or reading is late or was given up, the carrier takes them,
/// the carrier's list of what patients wrote was read lately, and no message came to a number that is no clinic's.</remarks>
internal static class HealthEndpoint
{
    /// <summary>A job of the lanes of pages, safety replies, reading and calls later than this is late.</summary>
    public static readonly Duration Late = Duration.FromMinutes(2);

    /// <summary>A page or safety reply the carrier has not taken for longer: it is tried again and again, and reaches nobody.</summary>
    public static readonly Duration NotTaken = Duration.FromMinutes(1);

    /// <summary>The carrier's list of one of our numbers was read to its end longer ago: it does not answer, or knows the number no more.</summary>
    public static readonly Duration NotRead = Duration.FromMinutes(10);

    public static void MapHealth(this IEndpointRouteBuilder app) => app.MapGet("/health", Look);

    private static async Task<IResult> Look(PortalDb db, TimeProvider time, CancellationToken stop) =>
        TypedResults.StatusCode(await IsWell(db, time.GetCurrentInstant(), stop) ? StatusCodes.Status200OK : StatusCodes.Status503ServiceUnavailable);

    private static async Task<bool> IsWell(PortalDb db, Instant now, CancellationToken stop)
    {
        var late = now - Late;
        try
        {
            return await db.WorkersGoRound(now, stop)
                && !await db.Jobs.AnyAsync(j => j.Lane <= JobTable.LastSafetyLane && j.DoneAt == null && j.ParkedAt == null && j.DueAt < late, stop)
                && await CarrierTakes(db, now, stop)
                && await CarrierTells(db, now, stop)
                && !await db.Messages.IgnoreQueryFilters().AnyAsync(m => m.ClinicId == OurNumbers.Nobody.Clinic, stop)
                && !await db.Jobs.AnyAsync(j => j.Lane <= JobTable.LastSafetyLane && j.ParkedAt != null && j.DoneAt == null, stop);
        }
        catch (Exception away) when (away is DbException or InvalidOperationException or TimeoutException)
        {
            return false;                                                       // the answer says so: 503
        }
    }

    private static async Task<bool> CarrierTakes(PortalDb db, Instant now, CancellationToken stop)
    {
        var waiting = await db.Jobs.AsNoTracking().Where(j => j.Kind == MessageJobs.Send && j.Lane <= JobTable.LastSafetyLane && j.DoneAt == null && j.ParkedAt == null)
            .OrderBy(j => j.DueAt).Select(j => j.Subject).Take(200).ToListAsync(stop);
        var ids = waiting.ConvertAll(Guid.Parse);
        var before = now - NotTaken;
        return ids.Count == 0 || !await db.Outgoing.IgnoreQueryFilters().AnyAsync(o => ids.Contains(o.Id) && o.MadeAt < before, stop);
    }

    // Also while nothing waits to go out: an outage is known before the next report comes.
    private static async Task<bool> CarrierTells(PortalDb db, Instant now, CancellationToken stop)
    {
        var before = now - NotRead;
        return !await db.Swept.AnyAsync(s => s.At < before && db.Set<ClinicRow>().Any(c => c.PatientNumber == s.Number || c.PageNumber == s.Number), stop);
    }
}
