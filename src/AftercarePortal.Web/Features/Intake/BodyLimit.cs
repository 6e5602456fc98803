namespace AftercarePortal.Web.Features.Intake;

/// <summary>Bounds what a stranger can send to the intake, and reads the form here, so that one that cannot be read gets a plain page instead of a fall.</summary>
internal sealed class BodyLimit(RequestDelegate next)
{
    /// <summary>Bytes of a form with words: 4,000 characters, each escaped at its longest, and room.</summary>
    public const long Words = 256 * 1024;

    /// <summary>Bytes of a form with three photos; each is looked at by itself, so that one too large is said at its place.</summary>
    public const long Photos = 40_000_000;

    public async Task InvokeAsync(HttpContext context)
    {
        var request = context.Request;
        if (HttpMethods.IsPost(request.Method) && request.Path.StartsWithSegments("/Intake"))
        {
            var most = request.Path.Value!.EndsWith("/photos", StringComparison.OrdinalIgnoreCase) ? Photos : Words;
            if (await Refusal(context, most) is { } status)
            {
                context.Response.StatusCode = status;
                return;
            }
        }

        await next(context);
    }

    private static async Task<int?> Refusal(HttpContext context, long most)
    {
        if (context.Request.ContentLength > most) return StatusCodes.Status413PayloadTooLarge;
        if (context.Features.Get<Microsoft.AspNetCore.Http.Features.IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } body) body.MaxRequestBodySize = most;
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
