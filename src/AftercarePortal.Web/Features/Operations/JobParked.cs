using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>A job was given up: whoever is on call must look; everyone, when it was a page, a safety reply or a reading; a message that could not be read opens a report as it is. May run twice; pages once.</summary>
internal sealed class JobParked(PortalDb db, PageStaff page, TimeProvider time) : IJobHandler
{
    public string Kind => JobRunner.JobParked;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        var parked = await db.Jobs.AsNoTracking().SingleAsync(j => j.Id == id && j.ClinicId == db.ClinicId, stop);
        if (await SendsAnAlarm(parked, stop)) return;                           // an alarm about an alarm would never end
        // A save of its own: an alarm that fails must not keep the words from a person.
        if (await db.GiveUnread(parked.Kind, parked.Subject, time.GetCurrentInstant(), stop)) await db.SaveChangesAsync(stop);
        await page.Run($"job:{parked.Id}", everyone: parked.Lane <= JobTable.LastSafetyLane, "page-alarm", "/Operations", time.GetCurrentInstant(), stop);
        await db.SaveChangesAsync(stop);
    }

    private async Task<bool> SendsAnAlarm(JobRow parked, CancellationToken stop) =>
        parked.Kind is MessageJobs.Send or MessageJobs.NotDelivered && Guid.TryParse(parked.Subject, out var outgoing)
        && await db.Outgoing.AnyAsync(o => o.Id == outgoing && o.Key.StartsWith(PageStaff.Key + ":"), stop);
}
