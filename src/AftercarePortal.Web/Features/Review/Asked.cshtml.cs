using System.Diagnostics;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using Microsoft.AspNetCore.Mvc;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>The person's page with the clinic's question and room for an answer.</summary>
internal sealed class AskedModel(PortalDb db, OpenIntake open, AnswerQuestion answer, IntakeLimits limits, ContentLibrary content) : IntakePage(open)
{
    /// <summary>The answer as typed.</summary>
    [BindProperty] public string? Words { get; set; }

    /// <summary>Which question the page showed.</summary>
    [BindProperty] public int Number { get; set; }

    /// <summary>The open question, else the latest; null when none was ever asked.</summary>
    public QuestionRow? Question { get; private set; }
    /// <summary>What was written to it, the earliest first.</summary>
    public IReadOnlyList<QuestionRow> Answers { get; private set; } = [];
    /// <summary>Why nothing was kept, in the language of the intake; null: nothing was wrong. What was typed stays.</summary>
    public string? Problem { get; private set; }

    /// <summary>The question that was answered is no longer open, and another one is.</summary>
    public bool AskedOther { get; private set; }

    public Task<IActionResult> OnGetAsync(CancellationToken stop) => Show(stop);

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        if (limits.MinutesToWaitOf(IntakeLimits.Act.Write, Opened.Intake.Id, HttpContext) is { } minutes)
        {
            Problem = Opened.Words.Say("too-many-answers", minutes);
            TypedSoundsUrgent = Words is not null && content.SoundsUrgent(Words);
            return await Show(stop);
        }

        switch (await answer.Run(Opened, Number, Words, stop))
        {
            case AnswerQuestion.Outcome.Kept: return RedirectToPage("Asked", new { Link });
            case AnswerQuestion.Outcome.NothingAsked: return RedirectToPage("Asked", new { Link });
            case AnswerQuestion.Outcome.AskedOther other:
                (AskedOther, TypedSoundsUrgent) = (true, other.SoundsUrgent);
                ModelState.Remove(nameof(Number));
                return await Show(stop);
            case AnswerQuestion.Outcome.Nothing:
                Problem = Opened.Words.Say("asks-wrong", Typed.LongestText);
                return await Show(stop);
            case AnswerQuestion.Outcome.TooLong tooLong:
                (Problem, TypedSoundsUrgent) = (Opened.Words.Say("wrong-long", Typed.LongestText), tooLong.SoundsUrgent);
                return await Show(stop);
            default: throw new UnreachableException();
        }
    }

    private async Task<IActionResult> Show(CancellationToken stop)
    {
        var id = Opened.Intake.Id;
        var rows = await db.Questions.AsNoTracking().Where(q => q.IntakeId == id).OrderBy(q => q.Number).ToListAsync(stop);
        Question = rows.FindLast(q => q.IsOpen) ?? rows.FindLast(q => q.Further is null);
        Answers = rows.FindAll(q => q.Answer is not null && (q.Further ?? q.Number) == Question?.Number);
        return Question is null ? GoOn() : Page();
    }
}
