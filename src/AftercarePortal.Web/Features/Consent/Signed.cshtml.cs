using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>One signed consent, from the bytes that were kept, and the form that withdraws it.</summary>
internal sealed class SignedModel(PortalDb db, SignConsent sign) : PageModel
{
    public ConsentRow Consent { get; private set; } = null!;

    public async Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop)
    {
        if (await db.Consents.AsNoTracking().SingleOrDefaultAsync(c => c.Id == id, stop) is not { } consent) return NotFound();
        Consent = consent;
        return Page();
    }

    public async Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop) =>
        await sign.Withdraw(id, User.Identity!.Name!, stop) ? RedirectToPage(new { id }) : NotFound();
}
