using System.Diagnostics;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>The form that asks a person something back.</summary>
internal sealed class AskModel(PortalDb db, AskBack ask) : PageModel
{
    [BindProperty] public string? Words { get; set; }
    [BindProperty] public int Seen { get; set; }

    public IntakeRow Intake { get; private set; } = null!;
    public int Asked { get; private set; }
    public string? Fault { get; private set; }

    public Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop) => Show(id, stop);

    public async Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop)
    {
        switch (await ask.Run(id, Seen, Words, User.Identity!.Name!, stop))
        {
            case AskBack.Outcome.Asked: return RedirectToPage("Details", null, new { id }, "asked");
            case AskBack.Outcome.NotFound: return NotFound();
            case AskBack.Outcome.Refused refused: Fault = refused.Fault; break;
            default: throw new UnreachableException();
        }

        return await Show(id, stop);
    }

    private async Task<IActionResult> Show(Guid id, CancellationToken stop)
    {
        if (await db.Intakes.AsNoTracking().SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return NotFound();
        (Intake, Asked) = (intake, await db.Questions.CountAsync(q => q.IntakeId == id, stop));
        return Page();
    }
}
