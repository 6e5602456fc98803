using System.Security.Cryptography;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>A patient's photo for staff of her clinic. No browser keeps it or guesses its type (headers: <see cref="Access.SafeHeaders"/>).</summary>
/// <remarks>What is shown is a JPEG of our own making. A file that could not be shown is only ever saved, never opened in the browser.</remarks>
internal static partial class PhotoEndpoint
{
    // The ending lets a phone open it; the type is the sender's claim, so only these few are believed.
    private static readonly Dictionary<string, string> Endings = new(StringComparer.OrdinalIgnoreCase)
    {
        ["image/heic"] = ".heic", ["image/heif"] = ".heif", ["video/mp4"] = ".mp4", ["video/3gpp"] = ".3gp", ["video/quicktime"] = ".mov", ["application/pdf"] = ".pdf",
    };

    public static void MapPhotos(this IEndpointRouteBuilder app)
    {
        app.MapGet("/Escalations/Photos/{id:guid}", (Guid id, PortalDb db, PhotoStore store, ILogger<PhotoStore> log, CancellationToken stop) =>
            Open(id, db.Photos, log, row => store.Open(row, small: false) is { } jpeg ? TypedResults.File(jpeg, "image/jpeg") : null, stop));
        app.MapGet("/Escalations/Photos/{id:guid}/Small", (Guid id, PortalDb db, PhotoStore store, ILogger<PhotoStore> log, CancellationToken stop) =>
            Open(id, WithoutLarge(db), log, row => store.Open(row, small: true) is { } jpeg ? TypedResults.File(jpeg, "image/jpeg") : null, stop));
        app.MapGet("/Escalations/Photos/{id:guid}/File", (Guid id, PortalDb db, PhotoStore store, ILogger<PhotoStore> log, CancellationToken stop) =>
            Open(id, db.Photos, log, row => store.OpenOriginal(row) is { } file
                ? TypedResults.File(file, "application/octet-stream", $"file-{row.Index + 1}-from-the-patient{Endings.GetValueOrDefault(row.ContentType, ".bin")}") : null, stop));
    }

    // A page of ten small pictures does not read ten large ones.
    private static IQueryable<PhotoRow> WithoutLarge(PortalDb db) =>
        db.Photos.Select(p => new PhotoRow { Id = p.Id, ClinicId = p.ClinicId, MessageId = p.MessageId, Index = p.Index, State = p.State, SealedSmall = p.SealedSmall });

    private static async Task<IResult> Open(Guid id, IQueryable<PhotoRow> photos, ILogger log, Func<PhotoRow, IResult?> open, CancellationToken stop)
    {
        var photo = await photos.AsNoTracking().SingleOrDefaultAsync(p => p.Id == id, stop);
        if (photo is null) return TypedResults.NotFound();
        try
        {
            return open(photo) ?? TypedResults.NotFound();
        }
        catch (CryptographicException)
        {
            DoesNotOpen(log, id);
            return TypedResults.Text("This photo does not open: the key is another one, or the stored photo was changed. Ask the patient for it again, or ring.", statusCode: StatusCodes.Status500InternalServerError);
        }
    }

    [LoggerMessage(LogLevel.Error, "Photo {Id} does not open: another key, or it was changed")]
    private static partial void DoesNotOpen(ILogger log, Guid id);
}
