using AftercarePortal.Web.Features.Intake;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>Every treated person's quote beside what was used, and the form that ends a course.</summary>
internal sealed class CasesModel(ReadOutcomes outcomes, EndCourse end) : PageModel
{
    [BindProperty] public Guid IntakeId { get; set; }
    [BindProperty] public string? Sessions { get; set; }
    public IReadOnlyList<OutcomeCase> Cases { get; private set; } = [];
    public string? Refusal { get; private set; }

    public Task OnGetAsync(CancellationToken stop) => Load(stop);

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        Refusal = await end.Run(IntakeId, Sessions, User.Identity!.Name!, stop);
        if (Refusal is null) return RedirectToPage(null, null, null, $"case-{IntakeId}");
        await Load(stop);
        return Page();
    }

    private async Task Load(CancellationToken stop)
    {
        var (cases, _) = await outcomes.Run(QuoteStage.Answers, stop);
        Cases = [.. cases.OrderBy(c => c.End is not null).ThenByDescending(c => c.Course.First.TreatedOn).ThenBy(c => c.Course.IntakeId)];
    }
}
