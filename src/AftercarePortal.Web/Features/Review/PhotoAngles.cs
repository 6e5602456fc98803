using System.Globalization;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Gonial angles the latest measured photos of a patient give, degrees; null where no photo of that side is measured.</summary>
internal sealed record PhotoAngles(Measured? Left, Measured? Right)
{
    /// <summary>Of the patient who sent this intake; both null while it is not decided who that is. Photos of somebody else are left out.</summary>
    public static async Task<PhotoAngles> Of(PortalDb db, Guid intakeId, CancellationToken stop)
    {
        if (await db.SenderOf(intakeId, stop) is not { } patient) return new(null, null);
        var photos = await db.ProfilePhotos.AsNoTracking().Include(p => p.Marks).Where(p => p.PatientId == patient).OrderByDescending(p => p.AddedAt).ToListAsync(stop);
        var taken = await db.PhotosOfSomebodyElse(patient, stop);
        photos.RemoveAll(p => taken.Any(t => t.PhotoId == p.Id));
        return new(ProfileReading.GonialAngle(photos, ProfileView.Left), ProfileReading.GonialAngle(photos, ProfileView.Right));
    }

    /// <summary>An angle as the form shows it, for example <c>121.5</c>.</summary>
    public static string? Said(Measured? angle) => angle?.Value.ToString("0.0", CultureInfo.InvariantCulture);

    /// <summary>How far misplaced points put the difference of these two angles off, standard deviation in tenths of a degree. An angle that is none of a photo was measured otherwise and adds nothing.</summary>
    public int PlacedSdTenths(int? leftTenths, int? rightTenths)
    {
        var (left, right) = (Sd(Left, leftTenths), Sd(Right, rightTenths));
        return (int)Math.Ceiling(10 * Math.Sqrt(left * left + right * right));

        static double Sd(Measured? photo, int? tenths) => tenths is not null && Said(photo) == ExaminationForm.Said(tenths) ? photo!.Sd : 0;
    }
}
