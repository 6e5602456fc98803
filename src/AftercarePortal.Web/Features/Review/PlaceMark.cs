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
        /// <summary>Somebody changed landmarks or scale of this photo since the page was opened; nothing is changed.</summary>
        /// <param name="Placed">Who placed landmarks meanwhile, last, and when; null: nobody, only the scale is another.</param>
        /// <param name="Scale">The scale as it stands, empty: none; null: it is the one the page showed.</param>
        public sealed record Meanwhile((string By, Instant At)? Placed, string? Scale) : Outcome;
    }

    /// <summary>Places landmarks, pixels of the kept picture; and the scale in mm, as typed, empty: none.</summary>
    /// <param name="seen">The photo as the page had shown it.</param>
    /// <param name="placed">Only what was touched: what is not named stays where it is.</param>
    /// <param name="scaleMm">As typed; as the page showed it, it is left as it stands now.</param>
    public async Task<Outcome> Run(ProfilePhotoRow photo, ShownMarks seen, IReadOnlyDictionary<Landmark, Spot> placed, string? scaleMm, string person, CancellationToken stop)
    {
        // decide
        var after = photo.Marks.ToDictionary(m => m.Landmark, m => new Spot(m.X, m.Y));
        foreach (var (landmark, spot) in placed)
        {
            if (!(spot.X >= 0 && spot.X <= photo.Width && spot.Y >= 0 && spot.Y <= photo.Height)) return new Outcome.Refused($"{LandmarkWords.Of(landmark)} lies off the picture.");
            after[landmark] = spot;
        }

        if (ProfileMeasures.Coincident(after) is { } two) return new Outcome.Refused($"{LandmarkWords.Of(two.Item1)} and {LandmarkWords.Of(two.Item2)} lie on one another.");
        var tenths = photo.ScaleTenthsMm;
        if ((scaleMm?.Trim() ?? "") != seen.Scale && !TryScale(scaleMm, out tenths)) return new Outcome.Refused("The scale is 1 to 500 mm.");
        var before = ShownMarks.Of(photo);
        if (Since(seen, photo) is { } meanwhile) return meanwhile;

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
            // Of two in the same moment this is the second; where nobody changed anything it failed for another reason.
            db.ChangeTracker.Clear();
            if (Since(before, await db.ProfilePhotos.AsNoTracking().Include(p => p.Marks).SingleAsync(p => p.Id == photo.Id, stop)) is not { } other) throw;
            return other;
        }

        return new Outcome.Kept();
    }

    private static bool TryScale(string? typed, out int? tenths)
    {
        tenths = null;
        if (string.IsNullOrWhiteSpace(typed)) return true;
        if (!decimal.TryParse(typed.Trim().Replace(',', '.'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var mm) || mm is < 1 or > 500) return false;
        tenths = (int)(mm * 10);
        return true;
    }

    private static Outcome.Meanwhile? Since(ShownMarks seen, ProfilePhotoRow photo)
    {
        var now = ShownMarks.Of(photo);
        var moved = seen.MovedSince(now);
        if (moved.Count == 0 && now.Scale == seen.Scale) return null;
        var last = photo.Marks.Where(m => moved.Contains(m.Landmark)).MaxBy(m => m.PlacedAt);
        return new(last is null ? null : (last.PlacedBy, last.PlacedAt), now.Scale == seen.Scale ? null : now.Scale);
    }
}
