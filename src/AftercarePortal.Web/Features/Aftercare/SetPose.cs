using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Keeps which pose a photo shows; the last word counts.</summary>
internal sealed class SetPose(PortalDb db, TimeProvider time)
{
    /// <returns>False: no such photo.</returns>
    public async Task<bool> Run(Guid photo, ProfileView view, string person, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (!await db.Photos.AnyAsync(p => p.Id == photo, stop)) return false;
        if (await Update() > 0) return true;
        db.Add(new PoseRow { PhotoId = photo, View = view, SetBy = person, SetAt = now });
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
            .ExecuteUpdateAsync(set => set.SetProperty(p => p.View, view).SetProperty(p => p.SetBy, person).SetProperty(p => p.SetAt, now), stop);
    }
}
