using AftercarePortal.Web.Features.Intake;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>Every treated person's quote beside what was used, and the form that ends a course.</summary>
internal sealed class CasesModel(ReadOutcomes outcomes, EndCourse end) : PageModel
{
    private const int EndedShown = 10;

    /// <summary>Show all, not only the open courses and the latest that are over.</summary>
    [BindProperty(SupportsGet = true)] public bool All { get; set; }
    /// <summary>The course that is over, by its intake.</summary>
    [BindProperty] public Guid IntakeId { get; set; }
    /// <summary>Sessions of skin treatment as typed, 0 to 50.</summary>
    [BindProperty] public string? Sessions { get; set; }
    /// <summary>Open courses, then those that are over; among each the latest first visit first.</summary>
    public IReadOnlyList<OutcomeCase> Cases { get; private set; } = [];
    /// <summary>How many are not shown.</summary>
    public int More { get; private set; }
    /// <summary>Why nothing was kept, in words; null: nothing was wrong.</summary>
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
        List<OutcomeCase> newest = [.. cases.OrderByDescending(c => c.Course.First.TreatedOn).ThenBy(c => c.Course.IntakeId)];
        var over = newest.Where(c => c.End is not null).ToList();
        Cases = [.. newest.Where(c => c.End is null), .. All ? over : over.Take(EndedShown)];
        More = newest.Count - Cases.Count;
    }
}
