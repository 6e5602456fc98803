using System.Diagnostics;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>The form that asks a person something back.</summary>
internal sealed class AskModel(PortalDb db, AskBack ask, IReachSender reach) : PageModel
{
    /// <summary>The question as typed, up to <see cref="AskBack.Longest"/> characters.</summary>
    [BindProperty] public string? Words { get; set; }
    /// <summary>How many questions about this intake the page had shown.</summary>
    [BindProperty] public int Seen { get; set; }

    public IntakeRow Intake { get; private set; } = null!;
    /// <summary>How the person is reached now.</summary>
    public Reached Reached { get; private set; } = null!;
    /// <summary>How many questions about this intake there are.</summary>
    public int Asked { get; private set; }
    /// <summary>Why it was not asked, in words; null: nothing was wrong.</summary>
    public string? Fault { get; private set; }

    public Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop) => Show(id, stop);

    public async Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop)
    {
        switch (await ask.Run(id, Seen, Words, User.Identity!.Name!, stop))
        {
            case AskBack.Outcome.Asked: return RedirectToPage("Details", null, new { id }, "told");
            case AskBack.Outcome.NotFound: return NotFound();
            case AskBack.Outcome.Refused refused: Fault = refused.Fault; break;
            default: throw new UnreachableException();
        }

        return await Show(id, stop);
    }

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Intakes.AsNoTracking().SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return NotFound();
        Reached = await reach.Of(intake, stop);
        (Intake, Asked) = (intake, await db.Questions.CountAsync(q => q.IntakeId == id, stop));
        return Page();
    }
}
