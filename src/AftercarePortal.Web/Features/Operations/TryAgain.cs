using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>Somebody looked at a parked job and wants it tried once more: a new job takes its place, the old one stays as it was.</summary>
internal sealed class TryAgain(PortalDb db, TimeProvider time)
{
    /// <returns>False: no such parked job, or somebody else was first.</returns>
    public async Task<bool> Run(Guid id, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await using var all = await db.Database.BeginTransactionAsync(stop);
        var taken = await db.Jobs
            .Where(j => j.Id == id && j.ClinicId == db.ClinicId && j.ParkedAt != null && j.DoneAt == null)
            .ExecuteUpdateAsync(set => set.SetProperty(j => j.DoneAt, now), stop);
        if (taken == 0) return false;
        var parked = await db.Jobs.AsNoTracking().SingleAsync(j => j.Id == id, stop);
        db.Enqueue(parked.Kind, parked.Subject, now, parked.Lane);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return true;
    }
}
