using System.Diagnostics;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Shared;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>The plan in plain words for the patient, on the clinic's screen, with the narrower range; and the form that accepts it.</summary>
internal sealed class AcceptModel(PortalDb db, AcceptPlan accept) : PageModel
{
    [BindProperty] public int Number { get; set; }
    [BindProperty] public Guid? QuoteId { get; set; }
    [BindProperty] public string? TypedName { get; set; }
    [BindProperty] public bool Agrees { get; set; }
    public Guid PatientId { get; private set; }
    public string PatientName { get; private set; } = "";
    public TreatmentPlanRow Plan { get; private set; } = null!;
    public PlanAcceptanceRow? Acceptance { get; private set; }
    public QuoteRow? Quote { get; private set; }
    public PriceRange? Range => Quote?.ShownRange();
    /// <summary>The patient's language when it is not the page's, in words; else null.</summary>
    public string? OtherLanguage { get; private set; }
    public IReadOnlyList<string> Reasons { get; private set; } = [];

    public Task<IActionResult> OnGetAsync(Guid patient, CancellationToken stop) => Show(patient, stop);

    public async Task<IActionResult> OnPostAsync(Guid patient, CancellationToken stop)
    {
        switch (await accept.Run(patient, Number, QuoteId, TypedName, Agrees, User.Identity!.Name!, stop))
        {
            case AcceptPlan.Outcome.Accepted: return RedirectToPage(new { patient });
            case AcceptPlan.Outcome.NotFound: return NotFound();
            case AcceptPlan.Outcome.Refused refused:
                Reasons = refused.Reasons;
                return await Show(patient, stop);
            default: throw new UnreachableException();
        }
    }

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == id, stop) is not { } patient || await db.LatestPlanOf(id, stop) is not { } plan) return NotFound();
        (PatientId, PatientName, Plan, OtherLanguage) = (patient.Id, patient.Name, plan, patient.Language == Texts.DefaultLanguage ? null : Plain.LanguageName(patient.Language));
        Acceptance = await db.PlanAcceptances.AsNoTracking().SingleOrDefaultAsync(a => a.PlanId == plan.Id, stop);
        // What was accepted is shown as it was; before that, what stands now.
        Quote = Acceptance is { } accepted ? await db.Quotes.AsNoTracking().SingleOrDefaultAsync(q => q.Id == accepted.QuoteId, stop) : await accept.RangeOf(id, stop);
        ModelState.Clear();
        return Page();
    }
}
