using System.Globalization;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Adds a photo to measure on, and keeps where a person placed its landmarks.</summary>
internal sealed class PlaceMark(PortalDb db, PhotoStore store, TimeProvider time)
{
    // Places are shown with one decimal: what was typed back unchanged moves nothing.
    private const double Typable = 0.05001;

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

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Kept : Outcome;
        public sealed record Refused(string Why) : Outcome;
        /// <summary>Somebody placed landmarks of this photo since the page was opened; nothing is changed.</summary>
        /// <param name="By">Who, last.</param>
        /// <param name="At">When; null: only the scale was changed.</param>
        public sealed record Meanwhile(string? By, Instant? At) : Outcome;
    }

    /// <summary>Places landmarks, pixels of the kept picture; and the scale in mm, as typed, empty: none.</summary>
    /// <param name="seen">The <see cref="ProfilePhotoRow.Mark"/> of the photo the page had shown.</param>
    public async Task<Outcome> Run(ProfilePhotoRow photo, string? seen, IReadOnlyDictionary<Landmark, Spot> placed, string? scaleMm, string person, CancellationToken stop)
    {
        // decide
        var after = photo.Marks.ToDictionary(m => m.Landmark, m => new Spot(m.X, m.Y));
        foreach (var (landmark, spot) in placed)
        {
            if (!(spot.X >= 0 && spot.X <= photo.Width && spot.Y >= 0 && spot.Y <= photo.Height)) return new Outcome.Refused($"{LandmarkWords.Of(landmark)} lies off the picture.");
            after[landmark] = spot;
        }

        if (ProfileMeasures.Coincident(after) is { } two) return new Outcome.Refused($"{LandmarkWords.Of(two.Item1)} and {LandmarkWords.Of(two.Item2)} lie on one another.");
        int? tenths = null;
        if (!string.IsNullOrWhiteSpace(scaleMm))
        {
            if (!decimal.TryParse(scaleMm.Trim().Replace(',', '.'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var mm) || mm is < 1 or > 500) return new Outcome.Refused("The scale is 1 to 500 mm.");
            tenths = (int)(mm * 10);
        }

        if (seen != photo.Mark()) return Latest(photo);

        // write
        var now = time.GetCurrentInstant();
        photo.ScaleTenthsMm = tenths;
        foreach (var (landmark, spot) in placed)
            if (photo.Marks.Find(m => m.Landmark == landmark) is not { } mark) photo.Marks.Add(new() { Landmark = landmark, X = spot.X, Y = spot.Y, PlacedBy = person, PlacedAt = now });
            else if (Math.Abs(mark.X - spot.X) > Typable || Math.Abs(mark.Y - spot.Y) > Typable) (mark.X, mark.Y, mark.PlacedBy, mark.PlacedAt) = (spot.X, spot.Y, person, now);
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();                                              // of two in the same moment this is the second
            return Latest(await db.ProfilePhotos.AsNoTracking().Include(p => p.Marks).SingleAsync(p => p.Id == photo.Id, stop));
        }

        return new Outcome.Kept();
    }

    private static Outcome.Meanwhile Latest(ProfilePhotoRow photo)
    {
        var last = photo.Marks.MaxBy(m => m.PlacedAt);
        return new(last?.PlacedBy, last?.PlacedAt);
    }
}
