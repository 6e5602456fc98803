using System.Diagnostics;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>What an intake came to, as it was kept, and the form that sends it.</summary>
internal sealed class ResultModel(PortalDb db, OpenIntake open, SendIntake send) : IntakePage(open)
{
    [BindProperty] public string? Name { get; set; }
    [BindProperty] public string? Number { get; set; }
    [BindProperty] public bool MayText { get; set; }

    public IntakeResult Result { get; private set; } = null!;
    /// <summary>What was wrong with the form, or null.</summary>
    public SendIntake.Outcome.Refused? Wrong { get; private set; }
    public string? SentOn => Opened.Intake.SubmittedAt is { } at ? DayOf(at) : null;
    public string LinkEnds => DayOf(Opened.Intake.EndsAt);

    public IReadOnlyList<(FindingKind Kind, string Heading, string Means)> Kinds { get; } =
    [
        (FindingKind.ClearFirst, "To settle first", "A clinician must look at these before anything can be booked."),
        (FindingKind.Wait, "To wait for", "These pass with time. The clinic confirms the date."),
        (FindingKind.Discuss, "To talk about", "Bring these up at the consultation. You and the clinician weigh them together."),
    ];

    public async Task<IActionResult> OnGetAsync(CancellationToken stop) => await Load(stop) ? Page() : GoOn();

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        switch (await send.Run(Opened, Name, Number, MayText, stop))
        {
            case SendIntake.Outcome.Sent: return RedirectToPage("Result", new { Link });
            case SendIntake.Outcome.NoResult: return GoOn();
            case SendIntake.Outcome.Refused refused:
                Wrong = refused;
                return await Load(stop) ? Page() : GoOn();
            default: throw new UnreachableException();
        }
    }

    // A result older than an answer is not shown: it no longer says what the answers mean.
    private async Task<bool> Load(CancellationToken stop)
    {
        if (await db.LatestResultOf(Opened.Intake.Id, stop) is not { } row) return false;
        if (Opened.Intake.SubmittedAt is null && Opened.Kept.Values.Any(a => a.AnsweredAt > row.MadeAt)) return false;
        Result = IntakeResult.FromJson(row.Json);
        return true;
    }

    private string DayOf(Instant at) => AnswerWords.OfDate(LocalDatePattern.Iso.Format(at.InZone(DateTimeZoneProviders.Tzdb[Opened.Clinic.Zone]).Date));
}
