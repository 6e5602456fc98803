using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>One quote exactly as it was, with everything that went into it.</summary>
internal sealed class QuoteModel(PortalDb db) : PageModel
{
    public QuoteRow Quote { get; private set; } = null!;
    public QuoteInputs Inputs { get; private set; } = null!;
    /// <summary>Who sent the intake, as typed then.</summary>
    public string Name { get; private set; } = "";

    public async Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop)
    {
        if (await db.Quotes.AsNoTracking().SingleOrDefaultAsync(q => q.Id == id, stop) is not { } quote) return NotFound();
        if (await db.Intakes.AsNoTracking().SingleOrDefaultAsync(i => i.Id == quote.IntakeId && i.SubmittedAt != null, stop) is not { } intake) return NotFound();
        (Quote, Inputs, Name) = (quote, QuoteInputs.FromJson(quote.Inputs), intake.Name!);
        return Page();
    }
}
