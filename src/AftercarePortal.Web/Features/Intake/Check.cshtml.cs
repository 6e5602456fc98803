using System.Diagnostics;
using Microsoft.AspNetCore.Mvc;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>The last look at all answers before they are worked out.</summary>
internal sealed class CheckModel(OpenIntake open, WorkOutResult workOut) : IntakePage(open)
{
    public IActionResult OnGet() => Opened.Intake.SubmittedAt is not null || Opened.NextOpen is not null ? GoOn() : Page();

    public async Task<IActionResult> OnPostAsync(CancellationToken stop) =>
        await workOut.Run(Opened, stop) switch
        {
            WorkOutResult.Outcome.Kept or WorkOutResult.Outcome.AlreadySent => RedirectToPage("Result", new { Link }),
            WorkOutResult.Outcome.NotComplete open => RedirectToPage("Question", new { Link, number = open.Number }),
            WorkOutResult.Outcome.Meanwhile => RedirectToPage("Check", new { Link }),
            WorkOutResult.Outcome.Stops => RedirectToPage("Stopped", new { Link }),
            _ => throw new UnreachableException(),
        };
}
