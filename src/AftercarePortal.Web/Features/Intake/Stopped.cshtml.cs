using Microsoft.AspNetCore.Mvc;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Where an intake kindly ends, for example under 18.</summary>
internal sealed class StoppedModel(OpenIntake open) : IntakePage(open)
{
    /// <summary>Why it ends, a sentence each, in the language of the intake.</summary>
    public IReadOnlyList<string> Says { get; private set; } = [];
    /// <summary>The question whose answer it was.</summary>
    public int Number { get; private set; }

    public IActionResult OnGet()
    {
        var stops = Opened.Rules.FindingsFor(Opened.Answers, Opened.Today).All.Where(f => f is { Stops: true, FromDoubt: false }).ToList();
        if (stops.Count == 0) return GoOn();
        Says = [.. stops.Select(f => f.Says)];
        Number = Opened.NumberOf(Opened.Questionnaire.Questions.First(q => q.LinkId == stops[0].Causes[0].LinkId));
        return Page();
    }
}
