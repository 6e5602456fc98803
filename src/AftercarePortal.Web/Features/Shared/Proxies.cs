using Microsoft.AspNetCore.HttpOverrides;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>Which proxies stand before the portal: only what these say of where somebody comes from is believed.</summary>
/// <remarks><c>Proxies:Known</c>: addresses or networks (CIDR), with commas between. Without it nobody is believed, and all who come through a proxy count as one address.</remarks>
internal static class Proxies
{
    /// <exception cref="InvalidOperationException">One of them is neither an address nor a network.</exception>
    public static void AddProxies(this WebApplicationBuilder builder)
    {
        var known = Known(builder.Configuration);
        if (known.Length == 0) return;
        var networks = known.Select(Network).ToList();
        builder.Services.Configure<ForwardedHeadersOptions>(o =>
        {
            o.ForwardedHeaders = ForwardedHeaders.XForwardedFor | ForwardedHeaders.XForwardedProto;
            o.ForwardLimit = null;          // through as many as there are, up to the first that is none of them
            o.KnownProxies.Clear();
            o.KnownIPNetworks.Clear();
            foreach (var network in networks) o.KnownIPNetworks.Add(network);
        });
    }

    /// <summary>Before everything that asks where somebody comes from.</summary>
    public static void UseProxies(this WebApplication app)
    {
        if (Known(app.Configuration).Length > 0) app.UseForwardedHeaders();
    }

    /// <summary>True when browsers come over https to a portal that itself listens on plain http alone, and no proxy is named: then everybody would share one limit at the staff door and at the intake.</summary>
    /// <remarks>Without <c>urls</c> it may listen on https by Kestrel's own settings; <c>ASPNETCORE_FORWARDEDHEADERS_ENABLED</c> believes everybody, and is the machine's own choice.</remarks>
    public static bool AreMissing(IConfiguration settings) =>
        Staff.StaffFeature.ComesOverHttps(settings) && settings["urls"] is { Length: > 0 } urls && urls.Split(';').All(u => u.StartsWith("http://", StringComparison.OrdinalIgnoreCase))
        && Known(settings).Length == 0 && !settings.GetValue("FORWARDEDHEADERS_ENABLED", false);

    private static string[] Known(IConfiguration settings) => (settings["Proxies:Known"] ?? "").Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries);

    private static System.Net.IPNetwork Network(string one) =>
        System.Net.IPNetwork.TryParse(one, out var network) ? network
        : System.Net.IPAddress.TryParse(one, out var address) ? new(address, address.GetAddressBytes().Length * 8)
        : throw new InvalidOperationException($"Proxies:Known holds {one}, which is neither an address nor a network like 10.0.0.0/8.");
}
