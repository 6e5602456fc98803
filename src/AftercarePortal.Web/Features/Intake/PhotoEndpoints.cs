using System.Security.Cryptography;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Photos of an intake: the small ones for who holds its private link, all for staff of its clinic once it was sent.</summary>
/// <remarks>What is shown is a JPEG of our own making. No browser keeps it (headers: <see cref="Access.SafeHeaders"/>).</remarks>
internal static partial class PhotoEndpoints
{
    public static void MapIntakePhotos(this IEndpointRouteBuilder app)
    {
        app.MapGet("/Intake/{link}/photos/{view}", async (string link, string view, OpenIntake open, PortalDb db, PhotoStore store, ILogger<OpenIntake> log, CancellationToken stop) =>
            Enum.TryParse<FaceView>(view, ignoreCase: true, out var side) && await open.Run(link, stop) is { Intake.Id: var intake }
                ? Show(await db.IntakePhotos.AsNoTracking().SingleOrDefaultAsync(p => p.IntakeId == intake && p.View == side, stop), small: true, store, log) : TypedResults.NotFound());
        app.MapGet("/Review/IntakePhotos/{id:guid}", async (Guid id, PortalDb db, PhotoStore store, ILogger<OpenIntake> log, CancellationToken stop) =>
            Show(await Sent(id, db, stop), small: false, store, log));
        app.MapGet("/Review/IntakePhotos/{id:guid}/Small", async (Guid id, PortalDb db, PhotoStore store, ILogger<OpenIntake> log, CancellationToken stop) =>
            Show(await Sent(id, db, stop), small: true, store, log));
    }

    // What was not sent yet is the person's own affair.
    private static Task<IntakePhotoRow?> Sent(Guid id, PortalDb db, CancellationToken stop) =>
        (from photo in db.IntakePhotos
         join intake in db.Intakes on photo.IntakeId equals intake.Id
         where photo.Id == id && intake.SubmittedAt != null
         select photo).AsNoTracking().SingleOrDefaultAsync(stop);

    private static IResult Show(IntakePhotoRow? photo, bool small, PhotoStore store, ILogger log)
    {
        if (photo is null) return TypedResults.NotFound();
        try
        {
            return TypedResults.File(store.Open(small ? photo.SealedSmall : photo.Sealed, photo.Place(small)), "image/jpeg");
        }
        catch (CryptographicException)
        {
            DoesNotOpen(log, photo.Id);
            return TypedResults.Text("This photo does not open: the key is another one, or the stored photo was changed. Ask for it again.", statusCode: StatusCodes.Status500InternalServerError);
        }
    }

    [LoggerMessage(LogLevel.Error, "Photo {Id} of an intake does not open: another key, or it was changed")]
    private static partial void DoesNotOpen(ILogger log, Guid id);
}
