using System.Security.Claims;
using AftercarePortal.Web.Access;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Identity;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Signs staff in: first the password, then always a code from the authenticator.</summary>
/// <remarks>Wrong codes count like wrong passwords (<see cref="DoorTries"/>), and only the whole sign-in clears the count.</remarks>
internal sealed class StaffDoor(UserManager<StaffRow> staff, DoorTries tries, KnownBrowser browsers, IDataProtectionProvider protection, TimeProvider time)
{
    private const string StampClaim = "stamp";
    private const string Scheme = CookieAuthenticationDefaults.AuthenticationScheme;
    // Somebody unknown costs as long as somebody known.
    private static readonly string NobodysHash = new PasswordHasher<object>().HashPassword(new object(), Guid.NewGuid().ToString());
    private readonly IDataProtector keys = protection.CreateProtector("staff authenticator key");

    /// <summary>Checks name and password. Null: they do not match, the door is shut, or the person no longer works here; which of them is not told.</summary>
    /// <param name="atTheLock">The screen is in a patient's hands: tries count as a stranger's, whatever browser it is, and never shut the person's own browsers out.</param>
    public async Task<StaffRow?> CheckPassword(HttpContext http, string? userName, string? password, bool atTheLock = false)
    {
        var person = await staff.FindByNameAsync(userName ?? "");
        if (person is null)
        {
            new PasswordHasher<object>().VerifyHashedPassword(new object(), NobodysHash, password ?? "");
            return null;
        }

        var known = !atTheLock && browsers.Knows(http, person);
        var mayTry = await tries.Take(person.Id, known);
        var matches = await staff.CheckPasswordAsync(person, password ?? "");        // also when shut: the time taken tells nothing
        if (!mayTry || !matches || await staff.IsLockedOutAsync(person)) return null;
        await tries.GiveBack(person.Id, known);
        return person;
    }

    /// <summary>Checks a code and uses it up; a first right code completes the enrolment. False: wrong, used before, or the door is shut.</summary>
    /// <param name="atTheLock">As of <see cref="CheckPassword"/>.</param>
    public async Task<bool> CheckCode(HttpContext http, StaffRow person, string? code, bool atTheLock = false)
    {
        if (person.ProtectedKey is null || await staff.IsLockedOutAsync(person)) return false;
        var known = !atTheLock && browsers.Knows(http, person);
        if (!await tries.Take(person.Id, known)) return false;
        var now = time.GetCurrentInstant();
        if (OneTimeCode.StepOf(keys.Unprotect(person.ProtectedKey), code, now, person.LastStep) is not { } step) return false;
        person.LastStep = step;
        person.EnrolledAt ??= now;
        if (!(await staff.UpdateAsync(person)).Succeeded) return false;       // of two at once with one code, the concurrency stamp lets one in
        await tries.Forget(person.Id, known);
        browsers.Remember(http, person);
        return true;
    }

    /// <summary>The key to put into the authenticator, made when there is none. Not for anybody who is enrolled.</summary>
    public async Task<string> KeyToEnrol(StaffRow person)
    {
        if (person.EnrolledAt is not null) throw new InvalidOperationException("The key of somebody enrolled is never shown again.");
        if (person.ProtectedKey is not null) return keys.Unprotect(person.ProtectedKey);
        var key = OneTimeCode.NewKey();
        await SetKey(person, key);
        return key;
    }

    /// <summary>Sets a new authenticator key; the person enrols anew at the next sign-in.</summary>
    public async Task SetKey(StaffRow person, string key)
    {
        person.ProtectedKey = keys.Protect(key);
        person.EnrolledAt = null;
        person.LastStep = 0;
        var kept = await staff.UpdateSecurityStampAsync(person);
        if (!kept.Succeeded) throw new InvalidOperationException("The authenticator key was not kept.");
    }

    /// <summary>Gives the browser its cookie. Without the second factor it opens the second factor's page and nothing else.</summary>
    public static Task Enter(HttpContext http, StaffRow person, bool withSecondFactor)
    {
        var claims = new List<Claim>
        {
            new(ClaimTypes.NameIdentifier, person.Id),
            new(ClaimTypes.Name, person.FullName),
            new(ClaimTypes.Role, person.Role.ToString()),
            new(AccessGate.ClinicClaim, person.ClinicId.ToString()),
            new(StampClaim, person.SecurityStamp ?? ""),
        };
        if (withSecondFactor) claims.AddRange([new(AccessGate.SecondFactorClaim, "code"), new(AccessGate.SessionClaim, Guid.NewGuid().ToString())]);
        return http.SignInAsync(Scheme, new ClaimsPrincipal(new ClaimsIdentity(claims, Scheme)));
    }

    /// <summary>Whoever passed the password in this browser; null when nobody did.</summary>
    public async Task<StaffRow?> WhoIsAtTheDoor(ClaimsPrincipal user) =>
        user.FindFirstValue(ClaimTypes.NameIdentifier) is { } id ? await staff.FindByIdAsync(id) : null;

    /// <summary>Turns a cookie away whose owner is gone or whose password or key has changed since.</summary>
    public static async Task CheckStamp(CookieValidatePrincipalContext context)
    {
        var staff = context.HttpContext.RequestServices.GetRequiredService<UserManager<StaffRow>>();
        var person = await staff.FindByIdAsync(context.Principal?.FindFirstValue(ClaimTypes.NameIdentifier) ?? "");
        if (person is not null && person.SecurityStamp == context.Principal!.FindFirstValue(StampClaim)
            && person.ClinicId.ToString() == context.Principal!.FindFirstValue(AccessGate.ClinicClaim)) return;
        context.RejectPrincipal();
        await context.HttpContext.SignOutAsync(Scheme);
    }
}
