using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Name and password.</summary>
internal sealed class SignInModel(StaffDoor door) : PageModel
{
    [BindProperty] public string? UserName { get; set; }
    [BindProperty] public string? Password { get; set; }
    [BindProperty(SupportsGet = true)] public string? Then { get; set; }
    public bool Refused { get; private set; }

    public async Task<IActionResult> OnPostAsync()
    {
        if (await door.CheckPassword(HttpContext, UserName, Password) is not { } person)
        {
            Refused = true;
            return Page();
        }

        await StaffDoor.Enter(HttpContext, person, withSecondFactor: false);
        return RedirectToPage(person.EnrolledAt is null ? "Enrol" : "SecondFactor", new { Then });
    }
}
