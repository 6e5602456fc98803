using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Takes a screen back from a patient: password and code of whoever is signed in, tries counted for this session alone.</summary>
internal sealed class UnlockModel(PortalDb db, StaffDoor door, KnownBrowser browsers, TimeProvider time) : PageModel
{
    /// <summary>Of whoever is signed in; nobody else unlocks this session.</summary>
    [BindProperty] public string? Password { get; set; }
    /// <summary>Six digits from that person's authenticator.</summary>
    [BindProperty] public string? Code { get; set; }
    /// <summary>The page of staff that was asked for while the screen was locked: often the report somebody is paged for.</summary>
    [BindProperty(SupportsGet = true)] public string? Then { get; set; }
    /// <summary>The page the patient reads.</summary>
    public string Screen { get; private set; } = "";
    /// <summary>Password or code was wrong, or there were too many tries.</summary>
    public bool Refused { get; private set; }

    public async Task<IActionResult> OnGetAsync(CancellationToken stop)
    {
        if (await db.LentScreenOf(User.Session, stop) is not { } lent) return Redirect("/");
        Screen = lent.Screen;
        return Page();
    }

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        if (await db.LentScreenOf(User.Session, stop) is not { } lent) return Redirect("/");
        Screen = lent.Screen;
        var here = await door.WhoIsAtTheDoor(User);
        if (here is null || !await door.ShowsAgain(HttpContext, Password, Code))
        {
            Refused = true;
            return Page();
        }

        await db.TakeBack(User.Session, time.GetCurrentInstant(), stop);
        await db.EndSession(User.Session, time.GetCurrentInstant(), stop);
        browsers.Remember(HttpContext, here);
        await door.Enter(HttpContext, here, withSecondFactor: true);
        return LocalRedirect(Then is { Length: > 1 } then && Url.IsLocalUrl(then) ? then : PatientScreen.StaffPageBehind(Screen));
    }

    /// <summary>Ends the session for good; whoever signs in next begins a new one, in a browser nobody knows: the patient may still hold it.</summary>
    public async Task<IActionResult> OnPostSignOutAsync(CancellationToken stop)
    {
        await db.TakeBack(User.Session, time.GetCurrentInstant(), stop);
        browsers.Forget(HttpContext);
        await door.Leave(HttpContext, stop);
        return RedirectToPage("SignIn");
    }
}
