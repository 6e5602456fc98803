using System.Diagnostics;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>Asks before a consent is withdrawn: who said so, how it was told, and whether it is meant.</summary>
internal sealed class WithdrawModel(PortalDb db, WithdrawConsent withdraw) : PageModel
{
    [BindProperty] public string? SaidBy { get; set; }
    [BindProperty] public string? Told { get; set; }
    [BindProperty] public string? Words { get; set; }
    [BindProperty] public bool Sure { get; set; }
    public ConsentRow Consent { get; private set; } = null!;
    public string PatientName { get; private set; } = "";
    public IReadOnlyList<string> Reasons { get; private set; } = [];
    /// <summary>Who had written the withdrawal down before, or null.</summary>
    public string? Before { get; private set; }

    public async Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop)
    {
        if (!await Load(id, stop)) return NotFound();
        if (Consent.WithdrawnAt is not null) return RedirectToPage("Signed", new { id });
        SaidBy = PatientName;
        return Page();
    }

    public async Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop)
    {
        switch (await withdraw.Run(id, SaidBy, Told, Words, Sure, User.Identity!.Name!, stop))
        {
            case WithdrawConsent.Outcome.Withdrawn: return RedirectToPage("Signed", new { id });
            case WithdrawConsent.Outcome.NotFound: return NotFound();
            case WithdrawConsent.Outcome.Before other: Before = other.By; break;
            case WithdrawConsent.Outcome.Refused refused: Reasons = refused.Reasons; break;
            default: throw new UnreachableException();
        }

        return await Load(id, stop) ? Page() : NotFound();
    }

    private async Task<bool> Load(Guid id, CancellationToken stop)
    {
        if (await db.Consents.AsNoTracking().SingleOrDefaultAsync(c => c.Id == id, stop) is not { } consent) return false;
        Consent = consent;
        PatientName = await db.Patients.Where(p => p.Id == consent.PatientId).Select(p => p.Name).SingleAsync(stop);
        return true;
    }
}
