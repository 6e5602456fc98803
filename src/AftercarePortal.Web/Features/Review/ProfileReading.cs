using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>What a photo's landmarks say, and the picture itself.</summary>
internal static class ProfileReading
{
    public static void MapProfilePictures(this IEndpointRouteBuilder app) => app.MapGet("/Review/Pictures/{id:guid}", async (Guid id, PortalDb db, PhotoStore store, CancellationToken stop) =>
        await db.ProfilePhotos.AsNoTracking().SingleOrDefaultAsync(p => p.Id == id, stop) is { } photo ? Results.File(store.Open(photo.Sealed, id), "image/jpeg") : Results.NotFound());

    /// <summary>The measures of a photo: of one side, or of left and right from the front.</summary>
    public static IReadOnlyList<Measured> Measures(this ProfilePhotoRow photo) =>
        photo.View is ProfileView.Front
            ? FrontMeasures.Of(photo.Marks.ToDictionary(m => m.Landmark, m => new Spot(m.X, m.Y)), photo.ScaleTenthsMm / 10.0)
            : ProfileMeasures.Of(photo.Marks.ToDictionary(m => m.Landmark, m => new Spot(m.X, m.Y)), photo.ScaleTenthsMm / 10.0);

    /// <summary>Landmarks of a photo, in the order they are placed.</summary>
    public static IReadOnlyList<Landmark> LandmarksOf(ProfileView view) =>
        view is ProfileView.Front ? FrontMeasures.Landmarks : [.. Enum.GetValues<Landmark>().Where(l => l <= Landmark.ScaleTo)];

    /// <summary>The gonial angle of the latest measured photo of one side, or null.</summary>
    public static Measured? GonialAngle(IReadOnlyList<ProfilePhotoRow> newestFirst, ProfileView view) =>
        newestFirst.Where(p => p.View == view).Select(p => p.Measures().FirstOrDefault(m => m.Measure is ProfileMeasure.GonialAngle)).FirstOrDefault(m => m is not null);

    /// <summary>The gonial angle's difference between the latest measured left and right photo, or null.</summary>
    public static SideDifference? Difference(IReadOnlyList<ProfilePhotoRow> newestFirst) =>
        GonialAngle(newestFirst, ProfileView.Left) is { } left && GonialAngle(newestFirst, ProfileView.Right) is { } right ? SideDifference.Of(left, right) : null;
}
