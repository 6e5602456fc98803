using System.Diagnostics;
using Microsoft.AspNetCore.Mvc;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>The last look at all answers before they are worked out.</summary>
internal sealed class CheckModel(OpenIntake open, WorkOutResult workOut, IntakeLimits limits) : IntakePage(open)
{
    /// <summary>Minutes to wait because it was worked out so often just now, or null.</summary>
    public int? Wait { get; private set; }

    public IActionResult OnGet() => Opened.Intake.SubmittedAt is not null || Opened.NextOpen is not null ? GoOn() : Page();

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        Wait = limits.MinutesToWaitOf(IntakeLimits.Act.WorkOut, Opened.Intake.Id, HttpContext);
        if (Wait is not null) return OnGet();
        return await workOut.Run(Opened, stop) switch
        {
            WorkOutResult.Outcome.Kept or WorkOutResult.Outcome.AlreadySent => RedirectToPage("Result", new { Link }),
            WorkOutResult.Outcome.NotComplete open => RedirectToPage("Question", new { Link, number = open.Number }),
            WorkOutResult.Outcome.Meanwhile => RedirectToPage("Check", new { Link }),
            WorkOutResult.Outcome.Stops => RedirectToPage("Stopped", new { Link }),
            _ => throw new UnreachableException(),
        };
    }
}
