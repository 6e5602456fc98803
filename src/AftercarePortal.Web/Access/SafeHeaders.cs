namespace AftercarePortal.Web.Access;

/// <summary>Headers every answer carries: nothing framed, nothing sniffed, nothing kept, no address passed on.</summary>
internal sealed class SafeHeaders(RequestDelegate next)
{
    public Task InvokeAsync(HttpContext context)
    {
        var headers = context.Response.Headers;
        headers.ContentSecurityPolicy = "default-src 'none'; style-src 'self'; img-src 'self' data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "no-referrer";
        headers.CacheControl = "no-cache, no-store";
        headers.Pragma = "no-cache";
        return next(context);
    }
}
