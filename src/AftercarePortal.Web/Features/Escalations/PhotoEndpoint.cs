using System.Security.Cryptography;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>A patient's photo for staff of her clinic. Always a JPEG of our own making; no browser keeps it (headers: <see cref="Access.SafeHeaders"/>).</summary>
internal static partial class PhotoEndpoint
{
    public static void MapPhotos(this IEndpointRouteBuilder app)
    {
        app.MapGet("/Escalations/Photos/{id:guid}", (Guid id, PortalDb db, PhotoStore store, ILogger<PhotoStore> log, CancellationToken stop) => Show(id, small: false, db, store, log, stop));
        app.MapGet("/Escalations/Photos/{id:guid}/Small", (Guid id, PortalDb db, PhotoStore store, ILogger<PhotoStore> log, CancellationToken stop) => Show(id, small: true, db, store, log, stop));
    }

    private static async Task<IResult> Show(Guid id, bool small, PortalDb db, PhotoStore store, ILogger log, CancellationToken stop)
    {
        var photo = await db.Photos.AsNoTracking().SingleOrDefaultAsync(p => p.Id == id, stop);
        if (photo is null) return TypedResults.NotFound();
        try
        {
            return store.Open(photo, small) is { } jpeg ? TypedResults.File(jpeg, "image/jpeg") : TypedResults.NotFound();
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
