using System.Security.Claims;
using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Binds this session to one page for a patient to read; only by a form, so that no link can do it.</summary>
internal sealed class LendModel(PortalDb db, TimeProvider time) : PageModel
{
    /// <summary>Path of the page.</summary>
    [BindProperty(SupportsGet = true)] public string? Screen { get; set; }
    /// <summary>Where the staff go who do not hand it over.</summary>
    public string Behind => PatientScreen.StaffPageBehind(Screen!);

    public IActionResult OnGet() => PatientScreen.Is(Screen) ? Page() : NotFound();

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        if (!PatientScreen.Is(Screen)) return NotFound();
        await db.Lend(User.Session, User.StaffId, Screen!, time.GetCurrentInstant(), stop);
        // A changed cookie makes browsers drop the pages they keep for their back button.
        await HttpContext.SignInAsync(new ClaimsPrincipal(User.Identity!));
        Response.Headers["Clear-Site-Data"] = "\"cache\"";
        return Redirect(Screen!);
    }
}
