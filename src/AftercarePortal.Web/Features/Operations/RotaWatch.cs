using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>Alarms before a gap of the rota matters: a day ahead those on call, two hours ahead (or in it) everyone. Each gap once for each (H3).</summary>
internal sealed partial class RotaWatch(IServiceScopeFactory scopes, TimeProvider time, ILogger<RotaWatch> log) : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromMinutes(5);
    private static readonly Duration Far = Duration.FromHours(24), Near = Duration.FromHours(2), LookBack = Duration.FromDays(31);

    /// <summary>Looks at every clinic once.</summary>
    public async Task Run(CancellationToken stop)
    {
        List<Guid> clinics;
        await using (var scope = scopes.CreateAsyncScope())
            clinics = await scope.ServiceProvider.GetRequiredService<PortalDb>().Clinics.Select(c => c.Id).ToListAsync(stop);
        foreach (var clinic in clinics)
        {
            await using var scope = scopes.CreateAsyncScope();
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
            await Look(scope.ServiceProvider.GetRequiredService<PortalDb>(), scope.ServiceProvider.GetRequiredService<PageStaff>(), stop);
        }
    }

    protected override async Task ExecuteAsync(CancellationToken stop)
    {
        while (!stop.IsCancellationRequested)
        {
            try
            {
                await Run(stop);
            }
            catch (Exception fault) when (!stop.IsCancellationRequested)
            {
                // The database is away, or another node was first with the same page: the next round looks again.
                RoundFailed(log, fault.GetType().Name);
            }

            await Task.Delay(Every, stop).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

    private async Task Look(PortalDb db, PageStaff page, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var shifts = await db.ShiftsThatCount(stop);
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

    [LoggerMessage(LogLevel.Error, "A look at the rota failed: {Failure}")]
    private static partial void RoundFailed(ILogger log, string failure);
}
