using System.Diagnostics;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.ContentFiles;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>One question. What was typed comes back as it was, usable or not.</summary>
internal sealed class QuestionModel(OpenIntake open, SaveAnswer save, LateAnswer late, IntakeLimits limits, ContentLibrary content) : IntakePage(open)
{
    public Question Asked { get; private set; } = null!;
    /// <summary>What was typed or ticked, usable or not.</summary>
    public Typed Typed { get; private set; } = Typed.Nothing;
    /// <summary>What is wrong with it, in the language of the intake; null: nothing.</summary>
    public string? Problem { get; private set; }
    /// <summary>What was typed is no answer any more: the intake was sent, or the question is no longer asked. It stands here to be read and copied.</summary>
    public bool TooLate { get; private set; }
    /// <summary>Place among the questions this person is asked, from 1; 0: it is not among them.</summary>
    public int Place { get; private set; }
    /// <summary>How many questions this person is asked, as far as the answers so far tell.</summary>
    public int Total => Opened.Asked.Count;
    /// <summary>Number of the question before, or null at the first.</summary>
    public int? Before { get; private set; }

    /// <summary>WCAG 1.3.5: only the date of birth is about the person's own, known details.</summary>
    public string Autocomplete(string part) => Asked.LinkId == "birth-date" ? $"bday-{part}" : "off";

    public IActionResult OnGet(int number)
    {
        if (Opened.Intake.SubmittedAt is not null || !Find(number) || Place == 0) return GoOn();
        if (Opened.Kept.TryGetValue(Asked.LinkId, out var row))
        {
            Typed = Typed.FromJson(row.Typed);
            if (row.State == AnswerState.NotUsable) return Again(InWords(Typed.ReadAs(Asked, Opened.Today).Problem));
        }

        return Page();
    }

    public async Task<IActionResult> OnPostAsync(int number, CancellationToken stop)
    {
        if (!Find(number)) return GoOn();
        Typed = Typed.From(Request.Form, Opened.Today);
        var sent = Opened.Intake.SubmittedAt is not null;
        if (sent && LateAnswer.IsAsSent(Opened, Asked, Typed)) return GoOn();
        if (limits.MinutesToWaitOf(sent ? IntakeLimits.Act.Write : IntakeLimits.Act.Answer, Opened.Intake.Id, HttpContext) is { } minutes)
            return Again(Opened.Words.Say("too-many-answers", minutes));
        var skip = Request.Form["act"] == "skip";
        if (Place == 0 && skip && !sent) return GoOn();
        switch (await save.Run(Opened, Asked, Link, Typed, skip, stop))
        {
            case SaveAnswer.Outcome.AlreadySent:
                await late.Run(Opened, Asked, Typed, stop);
                TooLate = true;
                return Again(Opened.Words.Say("sent-already", Opened.Clinic.ClinicLine));
            // A page that stayed open while another answer took this question away.
            case not null when Place == 0:
                TooLate = true;
                return Again(Opened.Words.Say("asked-no-more", Opened.Clinic.ClinicLine));
            case SaveAnswer.Outcome.GoOn { Number: { } next }: return RedirectToPage("Question", new { Link, number = next });
            case SaveAnswer.Outcome.GoOn: return RedirectToPage("Check", new { Link });
            case SaveAnswer.Outcome.Stops: return RedirectToPage("Stopped", new { Link });
            case SaveAnswer.Outcome.NotUsable wrong: return Again(InWords(wrong.Problem));
            default: throw new UnreachableException();
        }
    }

    // The page once more with what was typed: a sign in it is not in the answers, so it is looked for here.
    private PageResult Again(string? problem)
    {
        Problem = problem;
        TypedSoundsUrgent = Asked.TakesWords() && content.SoundsUrgent(Typed.Text);
        return Page();
    }

    private string? InWords(string? problem) => problem is null ? null : Opened.Words.Say(problem, Typed.LongestText, DayRange.MostUnits);

    // Place and Before stay empty for a question this person is not asked, or no longer.
    private bool Find(int number)
    {
        var all = Opened.Questionnaire.Questions;
        if (number < 1 || number > all.Count) return false;
        Asked = all[number - 1];
        var place = Opened.Asked.ToList().IndexOf(Asked);
        Place = place + 1;
        Before = place > 0 ? Opened.NumberOf(Opened.Asked[place - 1]) : null;
        return true;
    }
}
