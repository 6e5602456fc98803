using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Leaves; only by a form, so that no link can do it.</summary>
internal sealed class SignOutModel(StaffDoor door) : PageModel
{
    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        await door.Leave(HttpContext, stop);
        return RedirectToPage("SignIn");
    }
}
