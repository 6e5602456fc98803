namespace AftercarePortal.Web.Access;

/// <summary>Headers every answer carries, also one about a fault: nothing framed, nothing sniffed, nothing kept, no address passed on; where browsers come over https, nothing else from then on.</summary>
internal sealed class SafeHeaders(RequestDelegate next, SafeHeaders.Options options)
{
    /// <param name="Https">Browsers come over https.</param>
    internal sealed record Options(bool Https);

    public Task InvokeAsync(HttpContext context)
    {
        // At the last moment: whoever answers for a fault clears what was set before.
        context.Response.OnStarting(() =>
        {
            Set(context.Response.Headers);
            return Task.CompletedTask;
        });
        return next(context);
    }

    private void Set(IHeaderDictionary headers)
    {
        headers.ContentSecurityPolicy = "default-src 'none'; style-src 'self'; img-src 'self' data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "no-referrer";
        headers.CacheControl = "no-cache, no-store";
        headers.Pragma = "no-cache";
        // RFC 6797: for a year, this host alone.
        if (options.Https) headers.StrictTransportSecurity = "max-age=31536000";
    }
}
