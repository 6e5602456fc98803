using AftercarePortal.Web.Access;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>The bare address: staff who are signed in go on to the open reports.</summary>
internal sealed class HomeModel : PageModel
{
    public IActionResult OnGet() => User.HasClaim(c => c.Type == AccessGate.SecondFactorClaim) ? Redirect("/Escalations") : Page();
}
