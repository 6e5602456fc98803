using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Patients;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>What a patient signed, and what can be handed over to be signed.</summary>
internal sealed class IndexModel(PortalDb db, ContentLibrary content, ClinicClock clock, TimeProvider time) : PageModel
{
    public PatientRow Patient { get; private set; } = null!;
    /// <summary>Each document in the patient's language where it stands in it.</summary>
    public IReadOnlyList<ConsentDocument> Documents => [.. content.Consents.Select(c => c.Id).Distinct().Select(id => content.ConsentIn(Patient.Language, id)!)];
    public IReadOnlyList<ConsentRow> Signed { get; private set; } = [];
    /// <summary>The patient is under 18 today: nothing is handed over to be signed.</summary>
    public bool IsMinor { get; private set; }
    /// <summary>Says an instant.</summary>
    public Func<Instant, string> When { get; private set; } = null!;
    /// <summary>Words of the clinic's own language.</summary>
    public PageWords Say => content.WordsHandedOver(Texts.DefaultLanguage);

    public async Task<IActionResult> OnGetAsync(Guid patient, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patient, stop) is not { } found) return NotFound();
        Patient = found;
        Signed = await db.Consents.AsNoTracking().Where(c => c.PatientId == patient).OrderByDescending(c => c.SignedAt).ToListAsync(stop);
        IsMinor = found.IsMinorOn(await clock.DayOf(time.GetCurrentInstant()));
        When = await clock.ForPages();
        return Page();
    }
}
