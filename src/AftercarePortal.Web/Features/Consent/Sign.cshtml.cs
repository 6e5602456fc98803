using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>Read one document on the clinic's device, in one's own language, and sign below it. The clinician signs once the screen is back.</summary>
internal sealed class SignModel(PortalDb db, ContentLibrary content, SignConsent sign) : PageModel
{
    [BindProperty] public Guid ConsentId { get; set; }
    [BindProperty] public string? Read { get; set; }
    [BindProperty] public string? TypedName { get; set; }
    [BindProperty] public bool Agrees { get; set; }
    /// <summary>Id of a consent this form has just kept.</summary>
    [BindProperty(SupportsGet = true)] public Guid? Done { get; set; }
    /// <summary>The patient has just signed; the screen says so and shows nothing else.</summary>
    public bool Kept { get; private set; }
    public ConsentDocument Document { get; private set; } = null!;
    public string PatientName { get; private set; } = "";
    /// <summary>The document does not stand in the patient's language.</summary>
    public bool NeedsInterpreter { get; private set; }
    public PageWords Say { get; private set; } = null!;
    public IReadOnlyList<string> Reasons { get; private set; } = [];

    public Task<IActionResult> OnGetAsync(Guid patient, string document, CancellationToken stop)
    {
        ConsentId = Guid.CreateVersion7();
        return Show(patient, document, stop);
    }

    public async Task<IActionResult> OnPostAsync(Guid patient, string document, CancellationToken stop)
    {
        if (await sign.Run(ConsentId, patient, document, Read, TypedName, Agrees, User.Identity!.Name!, User.StaffId, stop) is not { } reasons) return NotFound();
        if (reasons.Count == 0) return RedirectToPage(new { patient, document, Done = ConsentId });
        Reasons = reasons;
        return await Show(patient, document, stop);
    }

    private async Task<IActionResult> Show(Guid patient, string document, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patient, stop) is not { } found || content.ConsentIn(found.Language, document) is not { } text) return NotFound();
        (Document, PatientName, NeedsInterpreter, Say) = (text, found.Name, found.Language != text.Language, content.WordsHandedOver(found.Language));
        Kept = Done is { } id && await db.Consents.AnyAsync(c => c.Id == id && c.PatientId == patient && c.DocumentId == document, stop);
        return Page();
    }
}
