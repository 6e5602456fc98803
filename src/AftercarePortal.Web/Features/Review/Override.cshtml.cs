using System.Diagnostics;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>One finding, what clinicians made of it so far, and the form for another word.</summary>
internal sealed class OverrideModel(PortalDb db, OverrideFinding save, ClinicClock clock) : PageModel
{
    /// <summary>What the finding counts as: a <see cref="Clinical.Candidacy.FindingKind"/> by name, or <c>SetAside</c>.</summary>
    [BindProperty] public string? Becomes { get; set; }
    /// <summary>Why, up to <see cref="OverrideFinding.Longest"/> characters.</summary>
    [BindProperty] public string? Reason { get; set; }
    /// <summary>What is done instead, watched or asked for, up to <see cref="OverrideFinding.Longest"/> characters.</summary>
    [BindProperty] public string? Consequence { get; set; }
    /// <summary>How many words about this finding the page had shown.</summary>
    [BindProperty] public int Seen { get; set; }

    /// <summary>The intake.</summary>
    public Guid Id { get; private set; }
    public IntakeResult.ShownFinding Finding { get; private set; } = null!;
    /// <summary>What clinicians made of it so far, oldest first, with when on the clinic's clock.</summary>
    public IReadOnlyList<(OverrideRow Row, string At)> Kept { get; private set; } = [];
    /// <summary>Why nothing was kept, in words; empty: nothing was wrong.</summary>
    public IReadOnlyList<string> Faults { get; private set; } = [];

    public Task<IActionResult> OnGetAsync(Guid id, int number, CancellationToken stop) => Show(id, number, stop);

    public async Task<IActionResult> OnPostAsync(Guid id, int number, CancellationToken stop)
    {
        switch (await save.Run(id, number, Becomes, Reason, Consequence, Seen, User.Identity!.Name!, stop))
        {
            case OverrideFinding.Outcome.Kept: return RedirectToPage("Details", null, new { id }, "findings");
            case OverrideFinding.Outcome.NotFound: return NotFound();
            case OverrideFinding.Outcome.Refused refused: Faults = refused.Faults; break;
            case OverrideFinding.Outcome.Meanwhile other: Faults = [$"{other.By} decided about it meanwhile. Look below, then keep yours if it is still needed."]; break;
            default: throw new UnreachableException();
        }

        return await Show(id, number, stop);
    }

    private async Task<IActionResult> Show(Guid id, int number, CancellationToken stop)
    {
        if (!await db.Intakes.AnyAsync(i => i.Id == id && i.SubmittedAt != null, stop)) return NotFound();
        if (IntakeResult.FromJson((await db.LatestResultOf(id, stop))!.Json).Findings.ElementAtOrDefault(number - 1) is not { } finding) return NotFound();
        (Id, Finding) = (id, finding);
        var kept = new List<(OverrideRow, string)>();
        foreach (var row in await db.Overrides.AsNoTracking().Where(o => o.IntakeId == id && o.RuleId == finding.RuleId).OrderBy(o => o.Number).ToListAsync(stop)) kept.Add((row, await clock.Say(row.DecidedAt)));
        Kept = kept;
        return Page();
    }
}
