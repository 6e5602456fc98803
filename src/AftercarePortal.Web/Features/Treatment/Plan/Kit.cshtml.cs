using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>Tick off the emergency kit and its expiry before a treatment starts.</summary>
internal sealed class KitModel(PortalDb db, CheckKit check, ContentLibrary content) : PageModel
{
    /// <summary>Id the check will have, given when the form was opened.</summary>
    [BindProperty] public Guid CheckId { get; set; }
    /// <summary>Ids of what was ticked.</summary>
    [BindProperty] public List<string> There { get; set; } = [];
    /// <summary>Expiry as typed, by id.</summary>
    public IReadOnlyDictionary<string, string> Expiry { get; private set; } = new Dictionary<string, string>();
    public Guid PatientId { get; private set; }
    public string PatientName { get; private set; } = "";
    /// <summary>The latest check for this patient today; null: none.</summary>
    public KitCheckRow? Today { get; private set; }
    /// <summary>What has to be there.</summary>
    public IReadOnlyList<KitItem> Kit => content.Safety.Kit;
    /// <summary>Why the check was not kept, in words; empty: nothing was wrong.</summary>
    public IReadOnlyList<string> Reasons { get; private set; } = [];

    public Task<IActionResult> OnGetAsync(Guid patient, CancellationToken stop)
    {
        CheckId = Guid.CreateVersion7();
        return Show(patient, stop);
    }

    public async Task<IActionResult> OnPostAsync(Guid patient, CancellationToken stop)
    {
        Expiry = Kit.ToDictionary(k => k.Id, k => Request.Form[$"Expiry.{k.Id}"].ToString());
        if (await check.Run(CheckId, patient, There, Expiry, User.Identity!.Name!, stop) is not { } reasons) return NotFound();
        if (reasons.Count == 0) return RedirectToPage(new { patient });
        Reasons = reasons;
        return await Show(patient, stop);
    }

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == id, stop) is not { } patient) return NotFound();
        (PatientId, PatientName) = (patient.Id, patient.Name);
        Today = await db.KitCheckOf(id, await check.Today(stop), stop);
        return Page();
    }
}
