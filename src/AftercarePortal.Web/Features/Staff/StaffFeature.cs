using System.Security.Cryptography.X509Certificates;
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
/// <c>Keys:Certificate</c>: a PKCS #12 file the keys are encrypted with on the disk; without it they lie there as they are, in a folder nobody else reads.
/// <c>Keys:OldCertificate</c>: the one before it, as long as keys are encrypted with that.
/// <c>Staff:Https</c>: true wherever browsers come over https (also behind a proxy); without it, only a portal that
/// listens on plain http at a loopback address goes without secure cookies.
/// </remarks>
internal static class StaffFeature
{
    public static void AddStaff(this WebApplicationBuilder builder)
    {
        var https = ComesOverHttps(builder.Configuration);
        var keys = builder.Services.AddDataProtection().SetApplicationName("AftercarePortal");
        if (builder.Configuration["Keys:Folder"] is { Length: > 0 } folder) keys.PersistKeysToFileSystem(Private(folder));
        if (builder.Configuration["Keys:Certificate"] is { Length: > 0 } file)
        {
            keys.ProtectKeysWithCertificate(Certificate(file, builder.Configuration["Keys:CertificatePassword"]));
            if (builder.Configuration["Keys:OldCertificate"] is { Length: > 0 } old) keys.UnprotectKeysWithAnyCertificate(Certificate(file, builder.Configuration["Keys:CertificatePassword"]), Certificate(old, builder.Configuration["Keys:OldCertificatePassword"]));
        }

        builder.Services.AddIdentityCore<StaffRow>(o =>
        {
            o.Password.RequiredLength = 12;
            o.Password.RequireDigit = o.Password.RequireLowercase = o.Password.RequireUppercase = o.Password.RequireNonAlphanumeric = false;
            o.Lockout.AllowedForNewUsers = true;        // Identity's lockout is for people let go; tries are counted by DoorTries
        });
        builder.Services.AddScoped<IUserStore<StaffRow>>(s => new UserOnlyStore<StaffRow, PortalDb>(s.GetRequiredService<PortalDb>()));
        builder.Services.AddScoped<DoorTries>();
        builder.Services.AddSingleton<DoorPace>();
        builder.Services.AddSingleton<KnownBrowser>();
        builder.Services.AddScoped<StaffDoor>();
        builder.Services.AddScoped<StaffBook>();
        builder.Services.AddTransient<WordsForPatients>(s => key => [.. s.GetRequiredService<ContentLibrary>().HandedOver.Select(words => (words.Key, words.Value[key]))]);
        builder.Services.AddTransient<BrowserOfStaff>(s => http => s.GetRequiredService<KnownBrowser>().IsOfStaff(http) || StaffDoor.HasCookie(http));
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

    /// <summary>True when browsers come over https, also where a proxy ends it.</summary>
    public static bool ComesOverHttps(IConfiguration settings) => settings.GetValue("Staff:Https", !ListensOnLoopbackOnly(settings["urls"]));

    // A folder made here is nobody else's; one that was there stays as whoever runs the machine made it.
    private static DirectoryInfo Private(string folder) =>
        OperatingSystem.IsWindows() ? Directory.CreateDirectory(folder) : Directory.CreateDirectory(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);

    private static X509Certificate2 Certificate(string file, string? password) => X509CertificateLoader.LoadPkcs12FromFile(file, password);

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
