using System.Diagnostics;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using Microsoft.AspNetCore.Mvc;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>The person's page with the clinic's question and room for an answer.</summary>
internal sealed class AskedModel(PortalDb db, OpenIntake open, AnswerQuestion answer) : IntakePage(open)
{
    /// <summary>The answer as typed.</summary>
    [BindProperty] public string? Words { get; set; }

    /// <summary>Which question the page showed.</summary>
    [BindProperty] public int Number { get; set; }

    /// <summary>The latest question, or null when none was ever asked.</summary>
    public QuestionRow? Question { get; private set; }
    /// <summary>Nothing was written, or too much; what was typed stays.</summary>
    public bool Wrong { get; private set; }

    /// <summary>The question that was answered is no longer open, and another one is.</summary>
    public bool AskedOther { get; private set; }

    public Task<IActionResult> OnGetAsync(CancellationToken stop) => Show(stop);

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        switch (await answer.Run(Opened, Number, Words, stop))
        {
            case AnswerQuestion.Outcome.Kept: return RedirectToPage("Asked", new { Link });
            case AnswerQuestion.Outcome.NothingAsked:
                var shown = await Show(stop);
                if (Question is not { Answer: null } other || other.Number == Number) return RedirectToPage("Asked", new { Link });
                AskedOther = true;
                ModelState.Remove(nameof(Number));
                return shown;
            case AnswerQuestion.Outcome.Refused:
                Wrong = true;
                return await Show(stop);
            default: throw new UnreachableException();
        }
    }

    private async Task<IActionResult> Show(CancellationToken stop)
    {
        var id = Opened.Intake.Id;
        Question = await db.Questions.AsNoTracking().Where(q => q.IntakeId == id).OrderByDescending(q => q.Number).FirstOrDefaultAsync(stop);
        return Question is null ? GoOn() : Page();
    }
}
