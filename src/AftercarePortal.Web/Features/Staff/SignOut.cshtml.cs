using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Leaves; only by a form, so that no link can do it.</summary>
internal sealed class SignOutModel : PageModel
{
    public async Task<IActionResult> OnPostAsync()
    {
        await HttpContext.SignOutAsync();
        return RedirectToPage("SignIn");
    }
}
