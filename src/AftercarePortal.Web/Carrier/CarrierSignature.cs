using Microsoft.Extensions.Options;
using Twilio.Security;

namespace AftercarePortal.Web.Carrier;

/// <summary>Lets only requests through that the carrier signed. Others get 403 and leave nothing behind.</summary>
/// <remarks>The address is built from the configured public one: behind a proxy the request's own scheme and host are the proxy's.</remarks>
internal sealed class CarrierSignature(IOptions<CarrierOptions> options) : IEndpointFilter
{
    public async ValueTask<object?> InvokeAsync(EndpointFilterInvocationContext context, EndpointFilterDelegate next)
    {
        var request = context.HttpContext.Request;
        if (!request.HasFormContentType) return TypedResults.StatusCode(StatusCodes.Status403Forbidden);
        return await FormOf(request) is { } form && IsSigned(request, form)
            ? await next(context)
            : TypedResults.StatusCode(StatusCodes.Status403Forbidden);
    }

    // What is no readable form cannot have been signed as one.
    private static async Task<IFormCollection?> FormOf(HttpRequest request)
    {
        try
        {
            return await request.ReadFormAsync();
        }
        catch (Exception broken) when (broken is InvalidDataException or BadHttpRequestException)
        {
            return null;
        }
    }

    private bool IsSigned(HttpRequest request, IFormCollection form)
    {
        var signature = request.Headers["X-Twilio-Signature"].ToString();
        if (signature.Length == 0 || options.Value.AuthToken.Length == 0) return false;
        // A bodySHA256 without value makes the SDK's validator throw before it checks anything; forms never carry it.
        if (request.Query.ContainsKey("bodySHA256")) return false;
        var path = request.PathBase + request.Path + request.QueryString;
        var fields = form.ToDictionary(f => f.Key, f => f.Value.ToString());
        var validator = new RequestValidator(options.Value.AuthToken);
        return new[] { options.Value.PublicUrl, options.Value.SecondUrl }.Any(address => address.Length > 0 && validator.Validate(address.TrimEnd('/') + path, fields, signature));
    }
}
