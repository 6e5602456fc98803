using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Keeps which pose a photo shows; the last word counts.</summary>
internal sealed class SetPose(PortalDb db, TimeProvider time)
{
    /// <returns>False: no such photo came from a number of this patient.</returns>
    public async Task<bool> Run(Guid patient, Guid photo, ProfileView view, string by, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patient, stop) is not { } row || !(await db.PhotosByTextOf(row, stop)).Any(p => p.Id == photo)) return false;
        if (await Update() > 0) return true;
        db.Add(new PoseRow { PhotoId = photo, View = view, SetBy = by, SetAt = now });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();                                              // somebody said it in the same moment: the later one stands
            if (await Update() == 0) throw;
        }

        return true;

        Task<int> Update() => db.Poses.Where(p => p.PhotoId == photo)
            .ExecuteUpdateAsync(set => set.SetProperty(p => p.View, view).SetProperty(p => p.SetBy, by).SetProperty(p => p.SetAt, now), stop);
    }
}
