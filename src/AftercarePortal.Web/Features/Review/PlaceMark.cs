using System.Globalization;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Adds a photo to measure on, and keeps where a person placed its landmarks.</summary>
internal sealed class PlaceMark(PortalDb db, PhotoStore store, TimeProvider time)
{
    /// <summary>Keeps a photo; null when it is no picture that can be shown.</summary>
    public async Task<Guid?> Add(Guid patient, ProfileView view, byte[] file, string person, CancellationToken stop)
    {
        if (await SafePicture.Read(file, stop) is not { } picture) return null;
        var id = Guid.CreateVersion7();
        db.Add(new ProfilePhotoRow
        {
            Id = id, PatientId = patient, View = view, Sealed = store.Close(picture.Jpeg, id), Width = picture.Width, Height = picture.Height, AddedBy = person, AddedAt = time.GetCurrentInstant(),
        });
        await db.SaveChangesAsync(stop);
        return id;
    }

    /// <summary>Places landmarks, pixels of the kept picture; and the scale in mm, as typed, empty: none. Returns why not, or null.</summary>
    public async Task<string?> Run(ProfilePhotoRow photo, IReadOnlyDictionary<Landmark, Spot> placed, string? scaleMm, string person, CancellationToken stop)
    {
        var after = photo.Marks.ToDictionary(m => m.Landmark, m => new Spot(m.X, m.Y));
        foreach (var (landmark, spot) in placed)
        {
            if (!(spot.X >= 0 && spot.X <= photo.Width && spot.Y >= 0 && spot.Y <= photo.Height)) return $"{LandmarkWords.Of(landmark)} lies off the picture.";
            after[landmark] = spot;
        }

        if (ProfileMeasures.Coincident(after) is { } two) return $"{LandmarkWords.Of(two.Item1)} and {LandmarkWords.Of(two.Item2)} lie on one another.";
        int? tenths = null;
        if (!string.IsNullOrWhiteSpace(scaleMm))
        {
            if (!decimal.TryParse(scaleMm.Trim().Replace(',', '.'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var mm) || mm is < 1 or > 500) return "The scale is 1 to 500 mm.";
            tenths = (int)(mm * 10);
        }

        var now = time.GetCurrentInstant();
        photo.ScaleTenthsMm = tenths;
        foreach (var (landmark, spot) in placed)
            if (photo.Marks.Find(m => m.Landmark == landmark) is { } mark) (mark.X, mark.Y, mark.PlacedBy, mark.PlacedAt) = (spot.X, spot.Y, person, now);
            else photo.Marks.Add(new() { Landmark = landmark, X = spot.X, Y = spot.Y, PlacedBy = person, PlacedAt = now });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            return "Somebody placed a landmark of this photo in the same moment. Look, then place yours again.";
        }

        return null;
    }
}
