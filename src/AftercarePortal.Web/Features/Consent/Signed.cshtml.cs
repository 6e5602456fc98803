using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>One signed consent, from the bytes that were kept; and the clinician's signature.</summary>
internal sealed class SignedModel(PortalDb db, SignConsent sign, ContentLibrary content, ClinicClock clock) : PageModel
{
    [BindProperty] public bool Explained { get; set; }
    public ConsentRow Consent { get; private set; } = null!;
    public bool NotTicked { get; private set; }
    /// <summary>Says an instant.</summary>
    public Func<Instant, string> When { get; private set; } = null!;
    /// <summary>Words of the clinic's own language.</summary>
    public PageWords Say => content.WordsHandedOver(Texts.DefaultLanguage);

    public async Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop)
    {
        if (await db.Consents.AsNoTracking().SingleOrDefaultAsync(c => c.Id == id, stop) is not { } consent) return NotFound();
        Consent = consent;
        When = await clock.ForPages();
        return Page();
    }

    public async Task<IActionResult> OnPostClinicianAsync(Guid id, CancellationToken stop)
    {
        NotTicked = !Explained;
        if (NotTicked) return await OnGetAsync(id, stop);
        return await sign.SignAsClinician(id, User.Identity!.Name!, User.StaffId, stop) ? RedirectToPage(new { id }) : NotFound();
    }
}
