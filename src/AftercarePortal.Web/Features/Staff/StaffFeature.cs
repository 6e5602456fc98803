using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Identity;
using Microsoft.AspNetCore.Identity.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>What the Staff feature adds to the portal.</summary>
/// <remarks>
/// <c>Keys:Folder</c>: where the keys that protect cookies and authenticator keys are kept; needed wherever the program may restart.
/// <c>Staff:Https</c>: true wherever browsers come over https (also behind a proxy); without it, only a portal that
/// listens on plain http at a loopback address goes without secure cookies.
/// </remarks>
internal static class StaffFeature
{
    public static void AddStaff(this WebApplicationBuilder builder)
    {
        var https = builder.Configuration.GetValue("Staff:Https", !ListensOnLoopbackOnly(builder.Configuration["urls"]));
        var keys = builder.Services.AddDataProtection().SetApplicationName("AftercarePortal");
        if (builder.Configuration["Keys:Folder"] is { Length: > 0 } folder) keys.PersistKeysToFileSystem(Directory.CreateDirectory(folder));

        builder.Services.AddIdentityCore<StaffRow>(o =>
        {
            o.Password.RequiredLength = 12;
            o.Password.RequireDigit = o.Password.RequireLowercase = o.Password.RequireUppercase = o.Password.RequireNonAlphanumeric = false;
            o.Lockout.AllowedForNewUsers = true;
            o.Lockout.MaxFailedAccessAttempts = 5;
            o.Lockout.DefaultLockoutTimeSpan = TimeSpan.FromMinutes(10);
        });
        builder.Services.AddScoped<IUserStore<StaffRow>>(s => new UserOnlyStore<StaffRow, PortalDb>(s.GetRequiredService<PortalDb>()));
        builder.Services.AddScoped<StaffDoor>();
        builder.Services.AddScoped<StaffBook>();
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
