using System.Security.Claims;
using System.Security.Cryptography;
using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.Options;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Signs staff in: first the password, then always a code from the authenticator.</summary>
/// <remarks>Wrong codes count like wrong passwords (<see cref="DoorTries"/>), and only the whole sign-in clears the count.</remarks>
internal sealed class StaffDoor(PortalDb db, UserManager<StaffRow> staff, DoorTries tries, DoorPace pace, KnownBrowser browsers, IDataProtectionProvider protection, TimeProvider time)
{
    private const string StampClaim = "stamp";
    private const string Scheme = CookieAuthenticationDefaults.AuthenticationScheme;
    // Somebody unknown costs as long as somebody known.
    private static readonly string NobodysHash = new PasswordHasher<object>().HashPassword(new object(), Guid.NewGuid().ToString());
    private static readonly TimeSpan KeyShownFor = TimeSpan.FromMinutes(15);
    private readonly IDataProtector keys = protection.CreateProtector("staff authenticator key");
    private readonly ITimeLimitedDataProtector shown = protection.CreateProtector("authenticator key on a page").ToTimeLimitedDataProtector();

    /// <summary>Checks name and password. Null: they do not match, the door is shut, too many came, a first password is too old, or the person no longer works here; which of them is not told.</summary>
    /// <param name="session">The session that shows them again, whose tries are counted for itself; null: at the door.</param>
    public async Task<StaffRow?> CheckPassword(HttpContext http, string? userName, string? password, Guid? session = null)
    {
        var person = await staff.FindByNameAsync(userName ?? "");
        var strange = session is null && (person is null || !browsers.Knows(http, person));
        using var turn = strange ? await pace.Turn(http) : null;
        if (strange && turn is null)
        {
            http.Response.StatusCode = StatusCodes.Status429TooManyRequests;
            return null;
        }

        if (person is null)
        {
            await tries.TakeNone();
            new PasswordHasher<object>().VerifyHashedPassword(new object(), NobodysHash, password ?? "");
            return null;
        }

        var of = TriesOf(http, person, session);
        var mayTry = await tries.Take(of);
        if (!mayTry) await tries.TakeNone();
        var matches = await staff.CheckPasswordAsync(person, password ?? "");        // also when shut: the time taken tells nothing
        if (!mayTry || !matches || await staff.IsLockedOutAsync(person) || person.FirstPasswordUntil < time.GetCurrentInstant()) return null;
        await tries.GiveBack(of);
        return person;
    }

    /// <summary>Checks a code and uses it up. False: wrong, used before, or the door is shut.</summary>
    /// <param name="session">As of <see cref="CheckPassword"/>.</param>
    public async Task<bool> CheckCode(HttpContext http, StaffRow person, string? code, Guid? session = null)
    {
        if (person.ProtectedKey is null || person.EnrolledAt is null || await staff.IsLockedOutAsync(person)) return false;
        var of = TriesOf(http, person, session);
        if (!await tries.Take(of)) return false;
        if (OneTimeCode.StepOf(keys.Unprotect(person.ProtectedKey), code, time.GetCurrentInstant(), person.LastStep) is not { } step) return false;
        person.LastStep = step;
        if (!(await staff.UpdateAsync(person)).Succeeded) return false;       // of two at once with one code, the concurrency stamp lets one in
        await tries.Forget(of);
        if (session is null) browsers.Remember(http, person);
        return true;
    }

    /// <summary>Said where they are not shown again as they should be.</summary>
    public const string NotShown = "Nothing was changed: your own password and a new code did not match, or there were too many tries. Each code works once; wait for the next one.";

    /// <summary>Password and code of whoever is signed in, shown again before something a session alone must not do. Wrong tries count for this session.</summary>
    public async Task<bool> ShowsAgain(HttpContext http, string? password, string? code) =>
        await WhoIsAtTheDoor(http.User) is { } here && await CheckPassword(http, here.UserName, password, http.User.Session) is { } person && await CheckCode(http, person, code, http.User.Session);

    /// <summary>A new key for the authenticator, and the same sealed for the form that proves it. It is kept only once it is proved: whoever saw an earlier page holds nothing.</summary>
    public (string Key, string Sealed) NewKey(StaffRow person)
    {
        var key = OneTimeCode.NewKey();
        return (key, shown.Protect($"{person.Id} {person.SecurityStamp} {key}", KeyShownFor));
    }

    /// <summary>The key a form was sealed with; null: it was another's, or shown too long ago.</summary>
    public string? KeyOf(StaffRow person, string? sealedKey)
    {
        try
        {
            return sealedKey is { Length: > 0 and < 1_000 } && shown.Unprotect(sealedKey).Split(' ') is [var id, var stamp, var key] && id == person.Id && stamp == person.SecurityStamp ? key : null;
        }
        catch (CryptographicException)
        {
            return null;
        }
    }

    /// <summary>Keeps a key proved by a first right code and, in place of a first password, the person's own. They are in then, once <see cref="Enter"/> was called.</summary>
    /// <param name="newPassword">Needed where the password so far is a first one, which somebody else has seen.</param>
    /// <returns>Null: kept. Empty: the code is wrong or the door is shut. Else what is wrong with the new password, in words.</returns>
    public async Task<IReadOnlyList<string>?> Enrol(HttpContext http, StaffRow person, string key, string? code, string? newPassword)
    {
        if (person.EnrolledAt is not null || await staff.IsLockedOutAsync(person)) return [];
        var of = TriesOf(http, person, null);
        var now = time.GetCurrentInstant();
        if (!await tries.Take(of) || OneTimeCode.StepOf(key, code, now, 0) is not { } step) return [];
        if (person.FirstPasswordUntil is not null)
        {
            var faults = new List<string>();
            if (await staff.CheckPasswordAsync(person, newPassword ?? "")) faults.Add("Choose another password than the first one: somebody else has seen that.");
            foreach (var rule in staff.PasswordValidators) faults.AddRange((await rule.ValidateAsync(staff, person, newPassword ?? "")).Errors.Select(e => e.Description));
            if (faults.Count > 0)
            {
                await tries.GiveBack(of);
                return faults;
            }

            person.PasswordHash = staff.PasswordHasher.HashPassword(person, newPassword!);
            person.FirstPasswordUntil = null;
        }

        (person.ProtectedKey, person.EnrolledAt, person.LastStep) = (keys.Protect(key), now, step);
        if (!(await staff.UpdateSecurityStampAsync(person)).Succeeded) return [];       // of two at once, the concurrency stamp lets one in
        await tries.Forget(of);
        browsers.Remember(http, person);
        return null;
    }

    /// <summary>Forgets the authenticator's key: the person enrols anew at the next sign-in, and every cookie ends.</summary>
    public async Task ForgetKey(StaffRow person)
    {
        (person.ProtectedKey, person.EnrolledAt, person.LastStep) = (null, null, 0);
        if (!(await staff.UpdateSecurityStampAsync(person)).Succeeded) throw new InvalidOperationException("The authenticator key was not forgotten.");
    }

    /// <summary>Gives the browser its cookie. Without the second factor it opens the second factor's page and nothing else.</summary>
    public async Task Enter(HttpContext http, StaffRow person, bool withSecondFactor)
    {
        var claims = new List<Claim>
        {
            new(ClaimTypes.NameIdentifier, person.Id),
            new(ClaimTypes.Name, person.FullName),
            new(ClaimTypes.Role, person.Role.ToString()),
            new(AccessGate.ClinicClaim, person.ClinicId.ToString()),
            new(StampClaim, person.SecurityStamp ?? ""),
        };
        if (withSecondFactor) claims.AddRange([new(AccessGate.SecondFactorClaim, "code"), new(AccessGate.SessionClaim, (await db.BeginSession(person.Id, time.GetCurrentInstant())).ToString())]);
        await http.SignInAsync(Scheme, new ClaimsPrincipal(new ClaimsIdentity(claims, Scheme)));
    }

    /// <summary>Ends this session, also for whoever has a copy of its cookie.</summary>
    public async Task Leave(HttpContext http, CancellationToken stop)
    {
        await db.EndSession(http.User.Session, time.GetCurrentInstant(), stop);
        await http.SignOutAsync(Scheme);
    }

    /// <summary>True when the browser shows a cookie of a sign-in here, also one that has ended.</summary>
    public static bool HasCookie(HttpContext http)
    {
        var cookies = http.RequestServices.GetRequiredService<IOptionsMonitor<CookieAuthenticationOptions>>().Get(Scheme);
        return cookies.CookieManager.GetRequestCookie(http, cookies.Cookie.Name!) is { } kept && cookies.TicketDataFormat.Unprotect(kept) is not null;
    }

    /// <summary>Whoever passed the password in this browser; null when nobody did.</summary>
    public async Task<StaffRow?> WhoIsAtTheDoor(ClaimsPrincipal user) =>
        user.FindFirstValue(ClaimTypes.NameIdentifier) is { } id ? await staff.FindByIdAsync(id) : null;

    /// <summary>Turns a cookie away whose owner is gone, whose password or key has changed since, or whose session has ended.</summary>
    public static async Task CheckStamp(CookieValidatePrincipalContext context)
    {
        var staff = context.HttpContext.RequestServices.GetRequiredService<UserManager<StaffRow>>();
        var person = await staff.FindByIdAsync(context.Principal?.FindFirstValue(ClaimTypes.NameIdentifier) ?? "");
        if (person is not null && person.SecurityStamp == context.Principal!.FindFirstValue(StampClaim)
            && person.ClinicId.ToString() == context.Principal!.FindFirstValue(AccessGate.ClinicClaim)
            && (context.Principal!.FindFirstValue(AccessGate.SessionClaim) is not { } session || await context.HttpContext.RequestServices.GetRequiredService<StaffDoor>().Lasts(Guid.Parse(session), person.Id))) return;
        context.RejectPrincipal();
        await context.HttpContext.SignOutAsync(Scheme);
    }

    // By the clock of the door, which may be another than the portal's: a demo moves that one.
    private Task<bool> Lasts(Guid session, string person) => db.SessionLasts(session, person, time.GetCurrentInstant());

    private DoorTries.Of TriesOf(HttpContext http, StaffRow person, Guid? session) =>
        session is { } id ? new DoorTries.Of.Session(id) : browsers.Knows(http, person) ? new DoorTries.Of.Known(person.Id) : new DoorTries.Of.Strangers(person.Id);
}
