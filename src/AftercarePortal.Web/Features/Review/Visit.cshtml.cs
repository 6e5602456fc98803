using System.Diagnostics;
using System.Globalization;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Review;

/// <summary>The invitation to a visit: write it, move it, call it off.</summary>
internal sealed class VisitModel(PortalDb db, InviteToVisit invite, IReachSender reach, ClinicClock clock, TimeProvider time) : PageModel
{
    [BindProperty] public VisitForm Form { get; set; } = new();

    public IntakeRow Intake { get; private set; } = null!;
    /// <summary>How the person is reached now.</summary>
    public Reached Reached { get; private set; } = null!;
    /// <summary>When a text written now would go; null: at once.</summary>
    public string? TextWaitsUntil { get; private set; }
    /// <summary>What was written about the visit so far, oldest first, with when it begins and when it was written, on the clinic's clock.</summary>
    public IReadOnlyList<(VisitRow Row, string Starts, string At)> Kept { get; private set; } = [];
    /// <summary>Why nothing was kept, in words; empty: nothing was wrong.</summary>
    public IReadOnlyList<string> Faults { get; private set; } = [];
    /// <summary>There is a visit that was not called off.</summary>
    public bool Stands => Kept is [.., { Row.Cancelled: false }];

    public Task<IActionResult> OnGetAsync(Guid id, CancellationToken stop) => Show(id, fill: true, stop);

    public Task<IActionResult> OnPostAsync(Guid id, CancellationToken stop) => Keep(id, cancel: false, stop);

    public Task<IActionResult> OnPostCancelAsync(Guid id, CancellationToken stop) => Keep(id, cancel: true, stop);

    private async Task<IActionResult> Keep(Guid id, bool cancel, CancellationToken stop)
    {
        switch (await invite.Run(id, Form, cancel, User.Identity!.Name!, stop))
        {
            case InviteToVisit.Outcome.Kept: return RedirectToPage("Details", null, new { id }, "told");
            case InviteToVisit.Outcome.NotFound: return NotFound();
            case InviteToVisit.Outcome.Refused refused: Faults = refused.Faults; break;
            default: throw new UnreachableException();
        }

        return await Show(id, fill: cancel, stop);
    }

    private async Task<IActionResult> Show(Guid id, bool fill, CancellationToken stop)
    {
        if (await db.Intakes.AsNoTracking().SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return NotFound();
        Intake = intake;
        Reached = await reach.Of(intake, stop);
        var clinic = await db.Clinics.SingleAsync(c => c.Id == intake.ClinicId, stop);
        var (now, zone) = (time.GetCurrentInstant(), DateTimeZoneProviders.Tzdb[clinic.Zone]);
        var goes = new QuietHours(clinic.QuietFrom, clinic.QuietTo).MoveOut(now, zone);
        TextWaitsUntil = goes > now ? await clock.Say(goes) : null;
        var kept = new List<(VisitRow, string, string)>();
        foreach (var row in await db.Visits.AsNoTracking().Where(v => v.IntakeId == id).OrderBy(v => v.Number).ToListAsync(stop)) kept.Add((row, await clock.Say(row.StartsAt), await clock.Say(row.WrittenAt)));
        Kept = kept;
        if (fill)
        {
            Form = new() { Minutes = "30" };
            if (Kept is [.., var last])
            {
                var local = last.Row.StartsAt.InZone(zone);
                Form = new() { Day = LocalDatePattern.Iso.Format(local.Date), At = LocalTimePattern.CreateWithInvariantCulture("HH:mm").Format(local.TimeOfDay), Minutes = last.Row.Minutes.ToString(CultureInfo.InvariantCulture), Place = last.Row.Place };
            }
        }

        Form.Seen = Kept.Count;
        return Page();
    }
}
