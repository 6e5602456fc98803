using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Shared;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>Read one document on the clinic's device; patient and clinician sign below it.</summary>
internal sealed class SignModel(PortalDb db, ContentLibrary content, SignConsent sign) : PageModel
{
    [BindProperty] public Guid ConsentId { get; set; }
    [BindProperty] public string? Read { get; set; }
    [BindProperty] public string? TypedName { get; set; }
    [BindProperty] public bool Agrees { get; set; }
    [BindProperty] public bool Explained { get; set; }
    public ConsentDocument Document { get; private set; } = null!;
    public string PatientName { get; private set; } = "";
    public Guid PatientId { get; private set; }
    /// <summary>The patient's language when the document stands in another, in words; else null.</summary>
    public string? OtherLanguage { get; private set; }
    public IReadOnlyList<string> Reasons { get; private set; } = [];

    public Task<IActionResult> OnGetAsync(Guid patient, string document, CancellationToken stop)
    {
        ConsentId = Guid.CreateVersion7();
        return Show(patient, document, stop);
    }

    public async Task<IActionResult> OnPostAsync(Guid patient, string document, CancellationToken stop)
    {
        if (await sign.Run(ConsentId, patient, document, Read, TypedName, Agrees, Explained, User.Identity!.Name!, stop) is not { } reasons) return NotFound();
        if (reasons.Count == 0) return RedirectToPage("Signed", new { id = ConsentId });
        Reasons = reasons;
        return await Show(patient, document, stop);
    }

    private async Task<IActionResult> Show(Guid patient, string document, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patient, stop) is not { } found || content.Consents.FirstOrDefault(c => c.Id == document) is not { } text) return NotFound();
        (Document, PatientId, PatientName, OtherLanguage) = (text, found.Id, found.Name, found.Language == text.Language ? null : Plain.LanguageName(found.Language));
        return Page();
    }
}
