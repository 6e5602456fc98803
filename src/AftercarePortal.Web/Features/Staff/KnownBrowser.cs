using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>The cookie that says: this person has signed in wholly with this browser before. It opens nothing.</summary>
internal sealed class KnownBrowser(IDataProtectionProvider protection)
{
    private static readonly TimeSpan Lasts = TimeSpan.FromDays(180);
    private readonly ITimeLimitedDataProtector seal = protection.CreateProtector("browser known at the staff door").ToTimeLimitedDataProtector();

    /// <summary>True when this person has signed in here since the password last changed.</summary>
    public bool Knows(HttpContext http, StaffRow person) => Read(http) == Mark(person);

    /// <summary>True when anybody of staff has signed in here.</summary>
    public bool IsOfStaff(HttpContext http) => Read(http) is not null;

    /// <summary>Gives the browser the cookie that says so, for 180 days.</summary>
    public void Remember(HttpContext http, StaffRow person) =>
        http.Response.Cookies.Append(Name(http), seal.Protect(Mark(person), Lasts), new CookieOptions
        {
            HttpOnly = true, Secure = http.Request.IsHttps, SameSite = SameSiteMode.Lax, IsEssential = true, Path = "/", MaxAge = Lasts,
        });

    /// <summary>The browser is a stranger's again: it was left in somebody else's hands.</summary>
    public void Forget(HttpContext http) =>
        http.Response.Cookies.Delete(Name(http), new CookieOptions { HttpOnly = true, Secure = http.Request.IsHttps, SameSite = SameSiteMode.Lax, Path = "/" });

    private string? Read(HttpContext http)
    {
        if (http.Request.Cookies[Name(http)] is not { Length: > 0 and < 2_000 } kept) return null;
        try
        {
            return seal.Unprotect(kept);
        }
        catch (CryptographicException)
        {
            return null;        // old, of another portal, or made up: a stranger
        }
    }

    private static string Mark(StaffRow person) => $"{person.Id} {person.SecurityStamp}";

    private static string Name(HttpContext http) => http.Request.IsHttps ? "__Host-known" : "known";
}
