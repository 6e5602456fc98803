using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Where a calendar program fetches shifts. Whoever holds the link sees them; a revoked, old or unknown one answers 404.</summary>
internal static class FeedEndpoint
{
    private static readonly Duration LookBack = Duration.FromDays(31);

    public static void MapFeed(this IEndpointRouteBuilder app) => app.MapGet("/Rota/Feed/{secret}", Read);

    private static async Task<IResult> Read(string secret, PortalDb db, ClinicScope scope, TimeProvider time, CancellationToken stop)
    {
        var hash = PatientLink.HashOf(secret.EndsWith(".ics", StringComparison.Ordinal) ? secret[..^4] : secret);
        var now = time.GetCurrentInstant();
        var feed = await db.WorkingFeeds(now).IgnoreQueryFilters().AsNoTracking().SingleOrDefaultAsync(f => f.SecretHash == hash, stop);
        if (feed is null) return TypedResults.NotFound();
        scope.Enter(feed.ClinicId);
        var names = await db.NamesOfStaff(stop);
        // Somebody let in no more sees nothing more.
        var staff = await db.StaffToPage(stop);
        if (staff.All(s => s.Id != (feed.Person ?? feed.MadeBy))) return TypedResults.NotFound();
        var since = now - LookBack;
        var shifts = (await db.ShiftsThatCount(since, stop)).Where(s => feed.Person is null || s.Person == feed.Person).OrderBy(s => s.From).ThenBy(s => s.Order).ToList();
        var clinic = await db.Clinics.Where(c => c.Id == feed.ClinicId).Select(c => c.Name).SingleAsync(stop);
        return TypedResults.Text(WriteCalendar.Of(shifts, clinic, names, withNames: feed.Person is null, now), "text/calendar; charset=utf-8");
    }
}
