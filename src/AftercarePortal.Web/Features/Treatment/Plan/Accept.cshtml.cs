using System.Diagnostics;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>The plan in the patient's language, on the clinic's screen, with the narrower range; and the form that accepts it.</summary>
internal sealed class AcceptModel(PortalDb db, AcceptPlan accept, ContentLibrary content) : PageModel
{
    /// <summary>Hash of what stood on the screen.</summary>
    [BindProperty] public string? Read { get; set; }
    /// <summary>The patient's name, as the patient typed it.</summary>
    [BindProperty] public string? TypedName { get; set; }
    /// <summary>The patient ticked that this is the plan.</summary>
    [BindProperty] public bool Agrees { get; set; }
    /// <summary>The plan in force with its range, as the patient reads it.</summary>
    public AcceptPlan.Shown Shown { get; private set; } = null!;
    /// <summary>The version in force is accepted; the screen says so and shows nothing else.</summary>
    public bool Accepted { get; private set; }
    /// <summary>Words around the plan, in the patient's language.</summary>
    public PageWords Say => Shown.Say;
    /// <summary>Words of the range's picture, in the same language.</summary>
    public PageWords ChartWords => content.Pages[Say.Language];
    /// <summary>The range in the same language; null: none was worked out.</summary>
    public PriceRange? Range => Shown.Quote?.ShownRange().In(content.Pricing, Say.Language);
    /// <summary>Why the plan was not accepted, in the same language; empty: nothing was sent.</summary>
    public IReadOnlyList<string> Reasons { get; private set; } = [];

    public Task<IActionResult> OnGetAsync(Guid patient, CancellationToken stop) => Show(patient, stop);

    public async Task<IActionResult> OnPostAsync(Guid patient, CancellationToken stop)
    {
        switch (await accept.Run(patient, Read, TypedName, Agrees, User.Identity!.Name!, stop))
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
        if (await accept.Read(id, stop) is not { } shown) return NotFound();
        Shown = shown;
        Accepted = await db.PlanAcceptances.AnyAsync(a => a.PlanId == shown.Plan.Id, stop);
        return Page();
    }
}
