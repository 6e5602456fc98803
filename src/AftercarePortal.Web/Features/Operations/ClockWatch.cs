using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>Warns when the clock of this machine and that of the database are far apart: timers of pages are due by the one and noted by the other.</summary>
internal sealed class ClockWatch(IServiceScopeFactory scopes, TimeProvider time, ILogger<ClockWatch> log) : Rounds(TimeSpan.FromMinutes(1), log)
{
    /// <summary>Further apart is warned of: two machines that are not stay within what a reply of staff allows for.</summary>
    public static readonly Duration MostApart = StaffReply.ClocksApart / 2;

    protected override Task Round(CancellationToken stop) => Guarded(() => Look(stop), stop);

    /// <summary>Compares them once; of a day the first difference pages whoever is on call.</summary>
    public async Task Look(CancellationToken stop)
    {
        await using var scope = scopes.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        if (await db.ClocksApart(time, stop) <= MostApart) return;
        var now = time.GetCurrentInstant();
        foreach (var clinic in await db.Clinics.Select(c => c.Id).ToListAsync(stop))
            await Guarded(async () =>
            {
                await using var own = scopes.CreateAsyncScope();
                own.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
                await own.ServiceProvider.GetRequiredService<PageStaff>().Run($"clock-{now.InUtc().Date:uuuu-MM-dd}", everyone: false, "page-alarm", "/Operations", now, stop);
                await own.ServiceProvider.GetRequiredService<PortalDb>().SaveChangesAsync(stop);
            }, stop);
    }
}
