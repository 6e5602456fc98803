using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Name and password.</summary>
internal sealed class SignInModel(StaffDoor door) : PageModel
{
    [BindProperty] public string? UserName { get; set; }
    [BindProperty] public string? Password { get; set; }
    /// <summary>Path that was asked for; goes on to the second factor's page.</summary>
    [BindProperty(SupportsGet = true)] public string? Then { get; set; }
    /// <summary>Name and password do not match, the door is shut, or the person is let in no more; the page does not say which.</summary>
    public bool Refused { get; private set; }

    public async Task<IActionResult> OnPostAsync()
    {
        if (await door.CheckPassword(HttpContext, UserName, Password) is not { } person)
        {
            Refused = true;
            return Page();
        }

        await door.Enter(HttpContext, person, withSecondFactor: false);
        return RedirectToPage(person.EnrolledAt is null ? "Enrol" : "SecondFactor", new { Then });
    }
}
