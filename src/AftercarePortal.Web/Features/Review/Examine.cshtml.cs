using System.Diagnostics;
using System.Globalization;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>What an examination found, and the range before and after it.</summary>
internal sealed class ExamineModel(PortalDb db, Examine examine) : PageModel
{
    /// <summary>How many examinations the page had shown.</summary>
    [BindProperty] public int Seen { get; set; }
    [BindProperty] public ExaminationForm Form { get; set; } = new();

    public IntakeRow Intake { get; private set; } = null!;
    /// <summary>The latest range from the answers alone; null: none.</summary>
    public QuoteRow? First { get; private set; }
    /// <summary>The latest range after an examination; null: none.</summary>
    public QuoteRow? Narrower { get; private set; }
    /// <summary>Oldest first.</summary>
    public IReadOnlyList<ExaminationRow> Examinations { get; private set; } = [];
    /// <summary>Who may be chosen to treat.</summary>
    public IReadOnlyList<string> Staff { get; private set; } = [];
    /// <summary>Why nothing was kept, in words; empty: nothing was wrong.</summary>
    public IReadOnlyList<string> Reasons { get; private set; } = [];
    /// <summary>Why there is no first range; empty when there is one.</summary>
    public IReadOnlyList<string> Because { get; private set; } = [];
    /// <summary>Why the latest examination gave no range; empty when it gave one, or nothing was found yet.</summary>
    public IReadOnlyList<string> NoneAfter { get; private set; } = [];
    /// <summary>Who examined since this page was opened, or null.</summary>
    public string? Meanwhile { get; private set; }
    /// <summary>Who was named to treat and is let in no more; null: whoever is named still works here.</summary>
    public string? LetGo { get; private set; }
    /// <summary>Whether the angles come from the patient's photos.</summary>
    public bool AnglesFromPhotos { get; private set; }

    public async Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop)
    {
        if (!await Load(id, stop)) return NotFound();
        if (Examinations.Count > 0) Form = ExaminationForm.Of(Examinations[^1]);
        await Angles(id, stop);
        return Page();
    }

    public async Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop)
    {
        var outcome = await examine.Run(id, Seen, Form, User.Identity!.Name!, stop);
        switch (outcome)
        {
            case Examine.Outcome.Kept: return RedirectToPage(new { id });
            case Examine.Outcome.NotFound: return NotFound();
            case Examine.Outcome.Refused refused: Reasons = refused.Reasons; break;
            case Examine.Outcome.Meanwhile other: Meanwhile = other.By; break;
            default: throw new UnreachableException();
        }

        return await Load(id, stop) ? Page() : NotFound();
    }

    /// <summary>What one entry added to the one before, in words.</summary>
    public string Says(int at)
    {
        var (row, before) = (Examinations[at], at > 0 ? Examinations[at - 1] : null);
        var who = row.Injector is { } named ? $"{named} is to treat" : "who is to treat is open";
        return !row.HasFindings || (before is not null && row.Findings() == before.Findings() && row.Injector != before.Injector) ? $"only {who}" : $"examined; {who}";
    }

    private async Task<bool> Load(Guid id, CancellationToken stop)
    {
        if (await db.Intakes.AsNoTracking().SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return false;
        Intake = intake;
        First = await db.FirstRangeOf(id, stop);
        if (First is null && await db.LatestResultOf(id, stop) is { } result) Because = IntakeResult.FromJson(result.Json).NoPriceBecause;
        Narrower = await db.RangeAfterExamination(id, stop);
        Staff = await db.NamesWhoMayTreat(stop);
        LetGo = await ToTreat.Of(db, id, stop) is { LetGo: true } gone ? gone.Name : null;
        Examinations = await db.Examinations.AsNoTracking().Where(e => e.IntakeId == id).OrderBy(e => e.Number).ToListAsync(stop);
        if (Narrower is null && Examinations is [.., { HasFindings: true } found]) NoneAfter = await examine.WhyNoRange(intake, found, stop) is { Count: > 0 } why ? why : ["it could not be said when this was kept: keep the examination again"];
        return true;
    }

    private async Task Angles(Guid id, CancellationToken stop)
    {
        if (Form is not { LeftAngle: null, RightAngle: null }) return;
        var photos = await PhotoAngles.Of(db, id, stop);
        (Form.LeftAngle, Form.RightAngle) = (PhotoAngles.Said(photos.Left), PhotoAngles.Said(photos.Right));
        AnglesFromPhotos = photos is not { Left: null, Right: null };
    }
}
