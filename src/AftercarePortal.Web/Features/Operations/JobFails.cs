using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>Reading a message fails again and again: it opens a report as it is, long before the reading is given up. May run twice; acts once.</summary>
internal sealed class JobFails(PortalDb db, TimeProvider time) : IJobHandler
{
    public string Kind => JobRunner.JobFails;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        if (await db.Jobs.AsNoTracking().SingleOrDefaultAsync(j => j.Id == id && j.ClinicId == db.ClinicId && j.DoneAt == null, stop) is not { } failing) return;      // it went well after all
        if (await db.GiveUnread(failing.Kind, failing.Subject, time.GetCurrentInstant(), stop)) await db.SaveChangesAsync(stop);
    }
}
