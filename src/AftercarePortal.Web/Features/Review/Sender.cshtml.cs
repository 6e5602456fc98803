using System.Diagnostics;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Corrects who sent an intake.</summary>
internal sealed class SenderModel(PortalDb db, CorrectSender correct) : PageModel
{
    /// <summary>How many decisions the page showed.</summary>
    [BindProperty] public int Seen { get; set; }
    /// <summary>A patient's id, or <see cref="WhoSent.SomebodyNew"/>.</summary>
    [BindProperty] public string? Who { get; set; }
    /// <summary>Part of a name or number by which the sender is looked for.</summary>
    [BindProperty] public string? Wanted { get; set; }
    /// <summary>How the clinician knows.</summary>
    [BindProperty] public string? HowKnown { get; set; }

    /// <summary>The intake somebody else sent.</summary>
    public IntakeRow Intake { get; private set; } = null!;
    /// <summary>Who counts as its sender so far.</summary>
    public PatientRow Sender { get; private set; } = null!;
    /// <summary>Who else may have sent it.</summary>
    public WhoSent.Candidates Known { get; private set; } = null!;
    /// <summary>How many decisions there are.</summary>
    public int Decided { get; private set; }
    /// <summary>What is wrong with the correction.</summary>
    public IReadOnlyList<string> Reasons { get; private set; } = [];
    /// <summary>Who decided since this page was opened, or null.</summary>
    public string? Meanwhile { get; private set; }

    public Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop) => Show(id, stop);

    /// <summary>Looks for the sender among all patients. Nothing is corrected, and what was typed stays.</summary>
    public Task<IActionResult> OnPostFindAsync(Guid id, CancellationToken stop) => Show(id, stop);

    public async Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop)
    {
        switch (await correct.Run(id, Seen, Who, Wanted, HowKnown, User.Identity!.Name!, stop))
        {
            case CorrectSender.Outcome.Corrected: return RedirectToPage("Details", null, new { id }, "decided");
            case CorrectSender.Outcome.NotFound: return NotFound();
            case CorrectSender.Outcome.Meanwhile other: Meanwhile = other.By; break;
            case CorrectSender.Outcome.Refused refused: Reasons = refused.Reasons; break;
            default: throw new UnreachableException();
        }

        return await Show(id, stop);
    }

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Intakes.AsNoTracking().SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return NotFound();
        if (await db.SenderOf(id, stop) is not { } sender) return NotFound();
        (Intake, Sender) = (intake, await db.Patients.AsNoTracking().SingleAsync(p => p.Id == sender, stop));
        Known = await db.KnownWith(intake, Wanted, sender, stop);
        Decided = await db.Decisions.CountAsync(d => d.IntakeId == id, stop);
        return Page();
    }
}
