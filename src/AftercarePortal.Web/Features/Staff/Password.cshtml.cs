using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Identity;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>One's own password. Changing it ends every sign-in of this name; one signs in anew.</summary>
internal sealed class PasswordModel(StaffDoor door, UserManager<StaffRow> staff) : PageModel
{
    /// <summary>The password so far.</summary>
    [BindProperty] public string? Old { get; set; }
    [BindProperty] public string? New { get; set; }
    /// <summary>Why it was not changed, in words; empty: nothing was wrong.</summary>
    public IReadOnlyList<string> Reasons { get; private set; } = [];

    public async Task<IActionResult> OnPostAsync()
    {
        if (await door.WhoIsAtTheDoor(User) is not { } person) return NotFound();
        // Tries are counted here, too: a browser left open is no place to guess a password.
        if (await door.CheckPassword(HttpContext, person.UserName, Old, User.Session) is null)
        {
            Reasons = ["The password so far does not match, or there were too many tries."];
            return Page();
        }

        var changed = await staff.ChangePasswordAsync(person, Old!, New ?? "");
        if (!changed.Succeeded)
        {
            Reasons = [.. changed.Errors.Select(e => e.Description)];
            return Page();
        }

        await HttpContext.SignOutAsync();
        return RedirectToPage("SignIn");
    }
}
