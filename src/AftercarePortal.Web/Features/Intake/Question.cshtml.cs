using System.Diagnostics;
using AftercarePortal.Clinical.Intake;
using Microsoft.AspNetCore.Mvc;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>One question. What was typed comes back as it was, usable or not.</summary>
internal sealed class QuestionModel(OpenIntake open, SaveAnswer save, IntakeLimits limits) : IntakePage(open)
{
    public Question Asked { get; private set; } = null!;
    /// <summary>What was typed or ticked, usable or not.</summary>
    public Typed Typed { get; private set; } = Typed.Nothing;
    /// <summary>What is wrong with it, in the language of the intake; null: nothing.</summary>
    public string? Problem { get; private set; }
    /// <summary>Place among the questions this person is asked, from 1.</summary>
    public int Place { get; private set; }
    /// <summary>How many questions this person is asked, as far as the answers so far tell.</summary>
    public int Total => Opened.Asked.Count;
    /// <summary>Number of the question before, or null at the first.</summary>
    public int? Before { get; private set; }

    /// <summary>WCAG 1.3.5: only the date of birth is about the person's own, known details.</summary>
    public string Autocomplete(string part) => Asked.LinkId == "birth-date" ? $"bday-{part}" : "off";

    public IActionResult OnGet(int number)
    {
        if (Opened.Intake.SubmittedAt is not null || !Find(number)) return GoOn();
        if (Opened.Kept.TryGetValue(Asked.LinkId, out var row))
        {
            Typed = Typed.FromJson(row.Typed);
            if (row.State == AnswerState.NotUsable) Problem = InWords(Typed.ReadAs(Asked, Opened.Today).Problem);
        }

        return Page();
    }

    public async Task<IActionResult> OnPostAsync(int number, CancellationToken stop)
    {
        if (!Find(number)) return GoOn();
        Typed = Typed.From(Request.Form, Opened.Today);
        if (limits.MinutesToWaitOf(IntakeLimits.Act.Answer, Opened.Intake.Id, HttpContext) is { } minutes)
        {
            Problem = Opened.Words.Say("too-many-answers", minutes);
            return Page();
        }

        switch (await save.Run(Opened, Asked, Link, Typed, Request.Form["act"] == "skip", stop))
        {
            case SaveAnswer.Outcome.GoOn { Number: { } next }: return RedirectToPage("Question", new { Link, number = next });
            case SaveAnswer.Outcome.GoOn: return RedirectToPage("Check", new { Link });
            case SaveAnswer.Outcome.Stops: return RedirectToPage("Stopped", new { Link });
            case SaveAnswer.Outcome.AlreadySent: return RedirectToPage("Result", new { Link });
            case SaveAnswer.Outcome.NotUsable wrong:
                Problem = InWords(wrong.Problem);
                return Page();
            default: throw new UnreachableException();
        }
    }

    private string? InWords(string? problem) => problem is null ? null : Opened.Words.Say(problem, Typed.LongestText, DayRange.MostUnits);

    // A question this person is not asked (any more) is not shown: its address is stale.
    private bool Find(int number)
    {
        var all = Opened.Questionnaire.Questions;
        if (number < 1 || number > all.Count || !Opened.Asked.Contains(all[number - 1])) return false;
        Asked = all[number - 1];
        var place = Opened.Asked.ToList().IndexOf(Asked);
        Place = place + 1;
        Before = place > 0 ? Opened.NumberOf(Opened.Asked[place - 1]) : null;
        return true;
    }
}
