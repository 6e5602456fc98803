using AftercarePortal.Web.Data;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Takes a photo off the pages of a patient it does not show, or puts it back.</summary>
internal sealed class WhosePhoto(PortalDb db, TimeProvider time)
{
    /// <summary>Longest reason, in UTF-16 units.</summary>
    public const int LongestWhy = 500;

    /// <param name="photo">One of this patient's; the caller has looked.</param>
    /// <returns>Why nothing was kept, in words; null: it is kept, or was said already.</returns>
    public async Task<string?> Run(Guid patient, Guid photo, bool showsPatient, string? why, string by, CancellationToken stop)
    {
        var reason = showsPatient ? "" : why?.Trim() ?? "";
        if (!showsPatient && reason.Length is (0 or > LongestWhy)) return $"Nothing was changed: write how it is known that the photo shows somebody else, in at most {LongestWhy} letters.";
        if ((await db.PhotosOfSomebodyElse(patient, stop)).Any(p => p.PhotoId == photo) != showsPatient) return null;       // said already
        db.Add(new WhosePhotoRow { PatientId = patient, PhotoId = photo, ShowsPatient = showsPatient, Why = reason, SaidBy = by, SaidAt = time.GetCurrentInstant() });
        await db.SaveChangesAsync(stop);
        return null;
    }
}
