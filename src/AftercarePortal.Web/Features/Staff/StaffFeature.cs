using AftercarePortal.Web.Access;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Identity;
using Microsoft.AspNetCore.Identity.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>What the Staff feature adds to the portal.</summary>
/// <remarks>
/// <c>Keys:Folder</c>: where the keys that protect cookies and authenticator keys are kept; the portal does not start without it where browsers come over https.
/// <c>Staff:Https</c>: true wherever browsers come over https (also behind a proxy); without it, only a portal that
/// listens on plain http at a loopback address goes without secure cookies.
/// </remarks>
internal static class StaffFeature
{
    public static void AddStaff(this WebApplicationBuilder builder)
    {
        var https = ComesOverHttps(builder.Configuration);
        var keys = builder.Services.AddDataProtection().SetApplicationName("AftercarePortal");
        if (builder.Configuration["Keys:Folder"] is { Length: > 0 } folder) keys.PersistKeysToFileSystem(Directory.CreateDirectory(folder));

        builder.Services.AddIdentityCore<StaffRow>(o =>
        {
            o.Password.RequiredLength = 12;
            o.Password.RequireDigit = o.Password.RequireLowercase = o.Password.RequireUppercase = o.Password.RequireNonAlphanumeric = false;
            o.Lockout.AllowedForNewUsers = true;        // Identity's lockout is for people let go; tries are counted by DoorTries
        });
        builder.Services.AddScoped<IUserStore<StaffRow>>(s => new UserOnlyStore<StaffRow, PortalDb>(s.GetRequiredService<PortalDb>()));
        builder.Services.AddScoped<DoorTries>();
        builder.Services.AddSingleton<KnownBrowser>();
        builder.Services.AddScoped<StaffDoor>();
        builder.Services.AddScoped<StaffBook>();
        builder.Services.AddTransient<WordsForPatients>(s => key => [.. s.GetRequiredService<ContentLibrary>().HandedOver.Select(words => (words.Key, words.Value[key]))]);
        builder.Services.AddAuthentication(CookieAuthenticationDefaults.AuthenticationScheme).AddCookie(o =>
        {
            Harden(o.Cookie, "staff", https);
            o.Cookie.SameSite = SameSiteMode.Lax;
            o.ExpireTimeSpan = TimeSpan.FromMinutes(15);
            o.SlidingExpiration = true;
            o.LoginPath = o.AccessDeniedPath = "/Staff/SignIn";
            o.ReturnUrlParameter = "then";
            o.Events.OnValidatePrincipal = StaffDoor.CheckStamp;
        });
        builder.Services.Configure<AntiforgeryOptions>(o => Harden(o.Cookie, "form", https));
    }

    /// <summary>True when the keys would be lost with the machine: a restart elsewhere would shut every authenticator out, at the worst hour.</summary>
    public static bool KeysHaveNoHome(IConfiguration settings) => string.IsNullOrEmpty(settings["Keys:Folder"]) && ComesOverHttps(settings);

    private static bool ComesOverHttps(IConfiguration settings) => settings.GetValue("Staff:Https", !ListensOnLoopbackOnly(settings["urls"]));

    private static void Harden(CookieBuilder cookie, string name, bool https)
    {
        cookie.Name = https ? "__Host-" + name : name;
        cookie.SecurePolicy = https ? CookieSecurePolicy.Always : CookieSecurePolicy.SameAsRequest;
        cookie.HttpOnly = true;
        cookie.Path = "/";
        cookie.IsEssential = true;
    }

    private static bool ListensOnLoopbackOnly(string? urls) =>
        urls is { Length: > 0 } && urls.Split(';').All(u => u.StartsWith("http://127.0.0.1:", StringComparison.Ordinal) || u.StartsWith("http://localhost:", StringComparison.Ordinal));
}
