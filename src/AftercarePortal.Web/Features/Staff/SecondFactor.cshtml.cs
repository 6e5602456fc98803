using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>The code from the authenticator; asked at every sign-in.</summary>
internal sealed class SecondFactorModel(StaffDoor door) : PageModel
{
    /// <summary>Six digits from the authenticator, as typed.</summary>
    [BindProperty] public string? Code { get; set; }
    /// <summary>Path that was asked for before signing in; null, or no path of the portal: the open reports.</summary>
    [BindProperty(SupportsGet = true)] public string? Then { get; set; }
    /// <summary>The code was wrong or used before, or the door is shut.</summary>
    public bool Refused { get; private set; }

    public async Task<IActionResult> OnGetAsync() => await door.WhoIsAtTheDoor(User) switch
    {
        null => RedirectToPage("SignIn", new { Then }),
        { EnrolledAt: null } => RedirectToPage("Enrol", new { Then }),
        _ => Page(),
    };

    public async Task<IActionResult> OnPostAsync()
    {
        if (await door.WhoIsAtTheDoor(User) is not { } person) return RedirectToPage("SignIn", new { Then });
        if (person.EnrolledAt is null) return RedirectToPage("Enrol", new { Then });
        if (!await door.CheckCode(HttpContext, person, Code))
        {
            Refused = true;
            return Page();
        }

        await door.Enter(HttpContext, person, withSecondFactor: true);
        return LocalRedirect(Url.IsLocalUrl(Then) ? Then! : "/Escalations");
    }
}
