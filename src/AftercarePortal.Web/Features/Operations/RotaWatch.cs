using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>Alarms before a gap of the rota matters: a day ahead those on call, two hours ahead (or in it) everyone. Each gap once for each (H3).</summary>
/// <remarks>Two nodes may be at the same page in one moment: the second is refused, and looks again in the next round.</remarks>
internal sealed class RotaWatch(IServiceScopeFactory scopes, TimeProvider time, ILogger<RotaWatch> log) : Rounds(TimeSpan.FromMinutes(5), log)
{
    private static readonly Duration Far = Duration.FromHours(24), Near = Duration.FromHours(2), LookBack = Duration.FromDays(31);

    /// <summary>Looks at every clinic once.</summary>
    public async Task Run(CancellationToken stop)
    {
        List<Guid> clinics;
        await using (var scope = scopes.CreateAsyncScope())
            clinics = await scope.ServiceProvider.GetRequiredService<PortalDb>().Clinics.Select(c => c.Id).ToListAsync(stop);
        foreach (var clinic in clinics)
            await Guarded(async () =>
            {
                await using var scope = scopes.CreateAsyncScope();
                scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
                await Look(scope.ServiceProvider.GetRequiredService<PortalDb>(), scope.ServiceProvider.GetRequiredService<PageStaff>(), stop);
            }, stop);
    }

    protected override Task Round(CancellationToken stop) => Run(stop);

    private async Task Look(PortalDb db, PageStaff page, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var shifts = await db.ShiftsThatCount(now - LookBack, stop);
        // From before now, so that a gap keeps its beginning, and with it its one alarm, while it lasts.
        var gaps = new Clinical.Escalations.Rota([.. shifts.Select(s => s.AsShift())], []).FlawsBetween(now - LookBack, now + Far).OfType<RotaFlaw.Gap>().Where(g => g.To > now);
        foreach (var gap in gaps)
        {
            var begins = gap.From == now - LookBack ? "long" : gap.From.ToUnixTimeSeconds().ToString(System.Globalization.CultureInfo.InvariantCulture);
            var near = gap.From <= now + Near;
            await page.Run($"gap-{(near ? 2 : 24)}-{begins}", everyone: near, "page-rota-gap", "/Rota", now, stop);
        }

        await db.SaveChangesAsync(stop);
    }
}
