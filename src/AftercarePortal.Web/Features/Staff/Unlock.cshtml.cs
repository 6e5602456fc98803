using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Takes a screen back from a patient: password and code of whoever is signed in, counted like tries at the door.</summary>
internal sealed class UnlockModel(PortalDb db, StaffDoor door, TimeProvider time) : PageModel
{
    [BindProperty] public string? Password { get; set; }
    [BindProperty] public string? Code { get; set; }
    /// <summary>The page the patient reads.</summary>
    public string Screen { get; private set; } = "";
    public bool Refused { get; private set; }

    public async Task<IActionResult> OnGetAsync(CancellationToken stop)
    {
        if (await db.ScreenInPatientsHands(User.Session, stop) is not { } screen) return Redirect("/");
        Screen = screen;
        return Page();
    }

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        if (await db.ScreenInPatientsHands(User.Session, stop) is not { } screen) return Redirect("/");
        Screen = screen;
        var here = await door.WhoIsAtTheDoor(User);
        if (await door.CheckPassword(HttpContext, here?.UserName, Password) is not { } person || !await door.CheckCode(HttpContext, person, Code))
        {
            Refused = true;
            return Page();
        }

        await db.Unlock(User.Session, time.GetCurrentInstant(), stop);
        await StaffDoor.Enter(HttpContext, person, withSecondFactor: true);
        return LocalRedirect(PatientScreen.StaffPageBehind(screen));
    }

    /// <summary>Ends the session for good; whoever signs in next begins a new one.</summary>
    public async Task<IActionResult> OnPostSignOutAsync()
    {
        await HttpContext.SignOutAsync();
        return RedirectToPage("SignIn");
    }
}
