using System.Diagnostics;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>Write a patient's plan: where, what, how much, with what.</summary>
internal sealed class EditModel(PortalDb db, SavePlan save, PlanAgainstIntake against, ContentLibrary content) : PageModel
{
    private const int MostLines = 30;

    /// <summary>Version the form was opened at, or that the page told of since; 0: there was none.</summary>
    [BindProperty] public int Seen { get; set; }
    [BindProperty] public PlanForm Form { get; set; } = new();
    public Guid PatientId { get; private set; }
    public string PatientName { get; private set; } = "";
    /// <summary>The version in force; null: no plan yet.</summary>
    public TreatmentPlanRow? Latest { get; private set; }
    /// <summary>Of <see cref="Latest"/>; null: not accepted yet.</summary>
    public PlanAcceptanceRow? Acceptance { get; private set; }
    /// <summary>Versions before <see cref="Latest"/>, the latest first.</summary>
    public IReadOnlyList<TreatmentPlanRow> Earlier { get; private set; } = [];
    /// <summary>Why the plan was not saved, in words; empty: nothing was wrong.</summary>
    public IReadOnlyList<string> Reasons { get; private set; } = [];
    /// <summary>What somebody else saved since the form was opened, or null.</summary>
    public TreatmentPlanRow? Meanwhile { get; private set; }
    /// <summary>What to think of with what is planned, as far as it can be read; amounts beyond a cited protocol first.</summary>
    public IReadOnlyList<SafetyPrompt> Prompts => content.Safety.For(Form.Deposits);
    /// <summary>What the patient's intake says about the planned products beyond its own page.</summary>
    public PlanAgainstIntake.Reading AgainstIntake { get; private set; } = null!;
    /// <summary>Needles and cannulas to offer; any other may be typed.</summary>
    public IReadOnlyList<SafetyPrompt> Devices => content.Safety.Devices;
    /// <summary>Version of the file prompts and devices come from.</summary>
    public string RulesVersion => content.Safety.Version.ToString();

    public async Task<IActionResult> OnGetAsync(Guid patient, CancellationToken stop)
    {
        if (await db.LatestPlanOf(patient, stop) is { } latest) (Form, Seen) = (PlanForm.Of(latest), latest.Number);
        return await Show(patient, stop);
    }

    /// <summary>One more line; nothing is saved.</summary>
    public Task<IActionResult> OnPostMoreAsync(Guid patient, CancellationToken stop)
    {
        if (Form.Lines.Count < MostLines) Form.Lines.Add(new() { Device = Form.Lines.LastOrDefault(l => !l.IsBlank)?.Device });
        ModelState.Clear();
        return Show(patient, stop);
    }

    public async Task<IActionResult> OnPostAsync(Guid patient, CancellationToken stop)
    {
        switch (await save.Run(patient, Seen, Form, User.Identity!.Name!, stop))
        {
            case SavePlan.Outcome.Saved: return RedirectToPage("Edit", new { patient });
            case SavePlan.Outcome.NotFound: return NotFound();
            case SavePlan.Outcome.Refused refused:
                Reasons = refused.Reasons;
                return await Show(patient, stop);
            case SavePlan.Outcome.Meanwhile other:
                (Meanwhile, Seen) = (other.Theirs, other.Theirs.Number);           // saving once more is meant
                ModelState.Clear();
                return await Show(patient, stop);
            default: throw new UnreachableException();
        }
    }

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == id, stop) is not { } patient) return NotFound();
        (PatientId, PatientName) = (patient.Id, patient.Name);
        var all = await db.Plans.AsNoTracking().Include(p => p.Lines.OrderBy(l => l.Ordinal)).Where(p => p.PatientId == id).OrderByDescending(p => p.Number).ToListAsync(stop);
        (Latest, Earlier) = (all.FirstOrDefault(), [.. all.Skip(1)]);
        if (Latest is { } latest) Acceptance = await db.PlanAcceptances.AsNoTracking().SingleOrDefaultAsync(a => a.PlanId == latest.Id, stop);
        AgainstIntake = await against.Run(id, Form.Deposits.Select(d => d.ProductClass).ToHashSet(), stop);
        if (Form.Lines.Count == 0) Form.Lines.Add(new());
        return Page();
    }
}
