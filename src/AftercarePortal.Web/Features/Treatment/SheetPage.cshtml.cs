using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The aftercare sheet on the screen.</summary>
internal sealed class SheetPageModel(PortalDb db, ContentLibrary content) : PageModel
{
    /// <summary>The treatment.</summary>
    public Guid Id { get; private set; }
    /// <summary>In the language asked for, or else the patient's own.</summary>
    public SheetText Sheet { get; private set; } = null!;
    /// <summary>The emergency number of the clinic's settings.</summary>
    public string OwnNumber { get; private set; } = "";
    /// <summary>The list's number for the clinic's country when it is not the one in the settings; else null.</summary>
    public string? OtherNumber { get; private set; }

    public async Task<IActionResult> OnGetAsync(Guid id, string? language, CancellationToken stop)
    {
        if (await db.SheetOf(id, language, content, stop) is not { } sheet) return NotFound();
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
        var listed = content.Sheet.Countries.FirstOrDefault(c => c.Code == PhoneNumber.CountryOf(clinic.PatientNumber))?.Number;
        (Id, Sheet, OwnNumber, OtherNumber) = (id, sheet, clinic.EmergencyNumber, listed == clinic.EmergencyNumber ? null : listed);
        return Page();
    }
}
