using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Bounds what a stranger can send to the intake, and reads the form here, so that one that cannot be read gets a plain page instead of a fall.</summary>
internal sealed class BodyLimit(RequestDelegate next)
{
    /// <summary>Bytes of a form with words: 4,000 characters, each escaped at its longest, and room.</summary>
    public const long Words = 256 * 1024;

    /// <summary>Bytes of a form with three photos; each is looked at by itself, so that one too large is said at its place.</summary>
    public const long Photos = 40_000_000;

    /// <summary>Minutes to wait because too many photos came from here, or null. What was sent then was not read.</summary>
    public static int? PhotosWaitOf(HttpContext context) => (int?)context.Items[typeof(BodyLimit)];

    public async Task InvokeAsync(HttpContext context, PortalDb db, IntakeLimits limits, TimeProvider time)
    {
        var request = context.Request;
        if (HttpMethods.IsPost(request.Method) && request.Path.StartsWithSegments("/Intake"))
        {
            // Forty megabytes are taken from whoever holds an open link and may bring photos now, from nobody else.
            var photos = context.GetRouteValue("link") is string link && request.Path.Value!.EndsWith("/photos", StringComparison.OrdinalIgnoreCase) ? await IntakeOf(link, db, time, context.RequestAborted) : null;
            if (photos is { Sent: true })
            {
                context.Features.Set<IFormFeature>(new FormFeature(FormCollection.Empty));      // the page says that it was sent before
            }
            else if (photos is { Clinic: var clinic } && limits.MinutesToWait(IntakeLimits.Act.Photos, clinic, context) is { } minutes)
            {
                context.Items[typeof(BodyLimit)] = minutes;
                context.Features.Set<IFormFeature>(new FormFeature(FormCollection.Empty));
            }
            else if (await Refusal(context, photos is null ? Words : Photos) is { } status)
            {
                context.Response.StatusCode = status;
                return;
            }
        }

        await next(context);
    }

    // Of an intake whose link has not ended; null: there is none. No clinic is entered by it.
    private static async Task<Found?> IntakeOf(string link, PortalDb db, TimeProvider time, CancellationToken stop)
    {
        var (hash, now) = (PatientLink.HashOf(link), time.GetCurrentInstant());
        return await db.Intakes.IgnoreQueryFilters().Where(i => i.LinkHash == hash && i.EndsAt > now).Select(i => new Found(i.ClinicId, i.SubmittedAt != null)).SingleOrDefaultAsync(stop);
    }

    private sealed record Found(Guid Clinic, bool Sent);

    private static async Task<int?> Refusal(HttpContext context, long most)
    {
        if (context.Request.ContentLength > most) return StatusCodes.Status413PayloadTooLarge;
        if (context.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } body) body.MaxRequestBodySize = most;
        if (!context.Request.HasFormContentType) return null;
        try
        {
            await context.Request.ReadFormAsync(context.RequestAborted);
            return null;
        }
        catch (BadHttpRequestException fault)
        {
            return fault.StatusCode;                                            // it gave no length, and went on too long
        }
        catch (InvalidDataException)
        {
            return StatusCodes.Status400BadRequest;                             // no form, or one of thousands of fields
        }
    }
}
