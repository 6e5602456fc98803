using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Somebody was let go: each report they have is everyone's at once, and one they alone were asked to take goes to the next. May run twice; acts once.</summary>
internal sealed class StaffGone(PortalDb db, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => StaffJobs.LetGo;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (await db.StaffOfClinic.AsNoTracking().SingleOrDefaultAsync(s => s.Id == subject, stop) is { IsLetGo: false }) return;      // let in again meanwhile
        foreach (var report in (await db.Escalations.Where(e => e.ClosedAt == null && (e.TakenBy == null || e.TakenBy == subject)).ToListAsync(stop)).WorstFirst())
        {
            if (report.TakenBy == subject)
                await carryOut.After(report, new Happening.GivenBack(), now, stop);
            else if (PagingRound.LastPagedOnly(await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == report.Id).ToListAsync(stop), subject))
                await carryOut.After(report, new Happening.NobodyTookIt(), now, stop);
        }

        await db.SaveChangesAsync(stop);
    }
}
