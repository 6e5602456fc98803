using System.Diagnostics;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Treatment.Plan;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>One signed record with its addenda, and the form for one more.</summary>
internal sealed class DetailsModel(PortalDb db, AddAddendum add) : PageModel
{
    /// <summary>Id the addendum will have, given when the form was opened.</summary>
    [BindProperty] public Guid AddendumId { get; set; }
    /// <summary>How many addenda the page showed.</summary>
    [BindProperty] public int Seen { get; set; }
    /// <summary>The addendum as typed.</summary>
    [BindProperty] public AddendumForm Form { get; set; } = new();
    /// <summary>As it was signed.</summary>
    public TreatmentRow Treatment { get; private set; } = null!;
    public string PatientName { get; private set; } = "";
    /// <summary>Why nothing was added, in words; null: nothing was wrong.</summary>
    public string? Refusal { get; private set; }
    /// <summary>Lots of the record that are under recall, or may be, as addenda put it right.</summary>
    public IReadOnlyList<RecalledHere> Recalled { get; private set; } = [];
    /// <summary>What was planned beside what was used, as addenda put it right; empty where the record was begun from no plan.</summary>
    public IReadOnlyList<PlannedAndUsed> Compared { get; private set; } = [];
    /// <summary>Whether the emergency kit was checked that day, in a sentence.</summary>
    public string Kit { get; private set; } = "";
    /// <summary>The treatment this one touches up, or its touch-ups, earliest first.</summary>
    public IReadOnlyList<TreatmentRow> Linked { get; private set; } = [];

    public async Task<IActionResult> OnGetAsync(Guid id)
    {
        AddendumId = Guid.CreateVersion7();
        return await Show(id);
    }

    public async Task<IActionResult> OnPostAsync(Guid id)
    {
        switch (await add.Run(AddendumId, id, Form, Seen, User.Identity!.Name!))
        {
            case AddAddendum.Outcome.Added: return RedirectToPage(new { id });
            case AddAddendum.Outcome.NotFound: return NotFound();
            case AddAddendum.Outcome.Another:
                AddendumId = Guid.CreateVersion7();
                Refusal = "Not added yet: another addendum was added from this form already. Look at it above; if yours is to stand beside it, add it again.";
                return await Show(id);
            case AddAddendum.Outcome.Meanwhile meanwhile:
                Refusal = $"Not added yet: {meanwhile.By} has added to this record since you opened this page. Look at it above; if yours is still right, add it again. Nothing you typed is lost.";
                return await Show(id);
            case AddAddendum.Outcome.Refused refused:
                Refusal = refused.Says;
                return await Show(id);
            default: throw new UnreachableException();
        }
    }

    private async Task<IActionResult> Show(Guid id)
    {
        var treatment = await db.SignedRecord(id, HttpContext.RequestAborted);
        if (treatment is null) return NotFound();
        (Treatment, Seen) = (treatment, treatment.Addenda.Count);
        ModelState.Remove(nameof(Seen));
        PatientName = (await db.Patients.SingleAsync(p => p.Id == treatment.PatientId)).Name;
        Recalled = await RecalledHere.In(treatment.AsPutRight(), db, HttpContext.RequestAborted);
        if (await db.Plans.AsNoTracking().Include(p => p.Lines.OrderBy(l => l.Ordinal)).SingleOrDefaultAsync(p => p.Id == treatment.PlanId) is { } plan)
            Compared = PlannedAndUsed.Of([.. plan.Lines.Select(l => l.Deposit)], [.. treatment.AsPutRight().Placements.Select(p => p.Deposit)]);
        Linked = await db.Treatments.AsNoTracking().Where(t => t.Id == treatment.TouchUpOf || t.TouchUpOf == id).OrderBy(t => t.Number).ToListAsync();
        Kit = await db.KitCheckOf(treatment.PatientId, treatment.AsPutRight().TreatedOn, HttpContext.RequestAborted) is { } kit
            ? $"Emergency kit checked that day by {kit.CheckedBy}, against {kit.Rules}."
            : "No check of the emergency kit was kept that day.";
        return Page();
    }
}
