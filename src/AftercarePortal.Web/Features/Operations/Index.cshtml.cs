using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.AspNetCore.Mvc;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using NodaTime;
using System.Globalization;

namespace AftercarePortal.Web.Features.Operations;

/// <summary>What the portal could not do by itself, and what it will not be able to do soon.</summary>
internal sealed class IndexModel(PortalDb db, TryAgain tryAgain, Drafts drafts, TimeProvider time) : PageModel
{
    private static readonly Duration LookBack = Duration.FromDays(7), LookAhead = Duration.FromDays(14);
    private static readonly OutgoingState[] NotSent = [OutgoingState.Refused, OutgoingState.TooLate, OutgoingState.Unclear];
    private static readonly StepState[] NotSentSteps = [StepState.Stopped, StepState.NotAgreed, StepState.Merged, StepState.TooLate];

    /// <summary>A job that was given up.</summary>
    /// <param name="What">What it was for, in words.</param>
    /// <param name="Ago">How long ago it was given up.</param>
    /// <param name="Attempts">How often it was tried.</param>
    /// <param name="Failure">Type name of the last failure; null: none is known.</param>
    public sealed record Parked(Guid Id, string What, string Ago, int Attempts, string? Failure);
    /// <summary>One line of a list.</summary>
    /// <param name="Ago">How long ago it was due, made or decided.</param>
    public sealed record Line(string What, string Ago);

    /// <summary>The most urgent lane first, then the one given up longest ago.</summary>
    public IReadOnlyList<Parked> GivenUp { get; private set; } = [];
    /// <summary>Jobs due longer ago than <see cref="HealthEndpoint.Late"/>, the most urgent lane first; at most 100.</summary>
    public IReadOnlyList<Line> Overdue { get; private set; } = [];
    /// <summary>Texts and calls of the last 7 days that were not sent or did not arrive, to a number without an open report; the latest first, at most 100.</summary>
    public IReadOnlyList<Line> Texts { get; private set; } = [];
    /// <summary>Photos of messages of the last 7 days that were given up, the latest first; at most 100.</summary>
    public IReadOnlyList<Line> Photos { get; private set; } = [];
    /// <summary>Aftercare steps of the last 7 days that were not sent, the latest first; at most 100.</summary>
    public IReadOnlyList<Line> Steps { get; private set; } = [];
    /// <summary>Treatment records begun and not signed, the one kept longest ago first, each with how long ago that was.</summary>
    public IReadOnlyList<(Drafts.Open Draft, string Ago)> Unsigned { get; private set; } = [];
    /// <summary>What is wrong with the rota of the next 14 days, a sentence each.</summary>
    public IReadOnlyList<string> RotaFlaws { get; private set; } = [];
    /// <summary>Staff, and whoever has had a shift, whom pages may not reach.</summary>
    public IReadOnlyList<ContactWords> Doubtful { get; private set; } = [];
    /// <summary>A worker has stopped, or none has gone round lately: the page says to use the phone.</summary>
    public bool WorkersSilent { get; private set; }
    /// <summary>How far the clocks of this machine and of the database are apart, where it is more than <see cref="ClockWatch.MostApart"/>; null: no more.</summary>
    public Duration? ClocksApart { get; private set; }

    /// <summary>Patients whose records name a recalled lot and whom no recall of it lists.</summary>
    public int Recalled { get; private set; }

    public async Task OnGetAsync(CancellationToken stop)
    {
        Recalled = (await db.NobodyListed(only: null, stop)).SelectMany(lot => lot.Patients).Select(p => p.Id).Distinct().Count();
        var now = time.GetCurrentInstant();
        var late = now - HealthEndpoint.Late;
        WorkersSilent = !await db.WorkersGoRound(now, stop);
        if (await db.ClocksApart(time, stop) is var apart && apart > ClockWatch.MostApart) ClocksApart = apart;
        var mine = db.Jobs.AsNoTracking().Where(j => j.ClinicId == db.ClinicId && j.DoneAt == null);
        GivenUp =
        [
            .. (await mine.Where(j => j.ParkedAt != null).OrderBy(j => j.Lane).ThenBy(j => j.ParkedAt).ToListAsync(stop))
                .Select(j => new Parked(j.Id, JobWords.Of(j.Kind), Ago.Say(now - j.ParkedAt!.Value), j.Attempts, j.LastFailure)),
        ];
        Overdue =
        [
            .. (await mine.Where(j => j.ParkedAt == null && j.DueAt < late).OrderBy(j => j.Lane).ThenBy(j => j.DueAt).Take(100).ToListAsync(stop))
                .Select(j => new Line(JobWords.Of(j.Kind), Ago.Say(now - j.DueAt))),
        ];
        Texts = await TextsNobodyLooksAfter(now, stop);
        Photos = await PhotosGivenUp(now, stop);
        Steps = await StepsNotSent(now, stop);
        Unsigned = [.. (await drafts.AllOpen(stop)).Select(d => (d, Ago.Say(now - d.SavedAt)))];
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        var shifts = await db.ShiftsThatCount(now, stop);
        var names = await db.NamesOfStaff(stop);
        Doubtful = [.. (await db.ContactStates((await db.OnCallAt(now, stop)).Numbers, now, stop)).Where(c => c.IsDoubtful).Select(c => ContactWords.Of(c, names, zone))];
        RotaFlaws = [.. new Clinical.Escalations.Rota([.. shifts.Select(s => s.AsShift())], []).FlawsBetween(now, now + LookAhead).Select(f => FlawWords.Of(f, zone, names))];
    }

    public async Task<IActionResult> OnPostTryAgainAsync(Guid id, CancellationToken stop)
    {
        await tryAgain.Run(id, stop);                                           // somebody else was first: the page says what is left
        return RedirectToPage();
    }

    /// <summary>Whoever leads the practice takes the draft of somebody who was let go.</summary>
    public async Task<IActionResult> OnPostTakeOverAsync(Guid id, CancellationToken stop)
    {
        if (!User.IsInRole(AccessGate.LeadRole)) return NotFound();
        return await drafts.TakeOver(id, User.StaffId, User.Identity!.Name!, stop) is { } patient ? Redirect($"/Treatment/Record/{patient}") : RedirectToPage();
    }

    private async Task<IReadOnlyList<Line>> TextsNobodyLooksAfter(Instant now, CancellationToken stop)
    {
        var since = now - LookBack;
        var (deliveries, escalations) = (db.Deliveries, db.Escalations);
        var rows = await db.Outgoing.AsNoTracking()
            .Where(o => o.MadeAt >= since && (NotSent.Contains(o.State) || deliveries.Any(d => d.OutgoingId == o.Id && (d.Status == "failed" || d.Status == "undelivered"))))
            .Where(o => !escalations.Any(e => e.OpenKey == o.To))
            .OrderByDescending(o => o.MadeAt).Take(100).ToListAsync(stop);
        return [.. rows.Select(o => new Line($"{KindWords(o.Kind)} to {o.To}: {StateWords(o.State)}", Ago.Say(now - o.MadeAt)))];
    }

    private async Task<IReadOnlyList<Line>> PhotosGivenUp(Instant now, CancellationToken stop)
    {
        var since = now - LookBack;
        var rows = await (
            from photo in db.Photos.AsNoTracking()
            join message in db.Messages on photo.MessageId equals message.Id
            where (photo.State == PhotoState.Gone || photo.State == PhotoState.Refused) && message.ReceivedAt >= since
            orderby message.ReceivedAt descending
            select new { message.From, photo.Index, message.ReceivedAt }).Take(100).ToListAsync(stop);
        return [.. rows.Select(r => new Line($"photo {r.Index + 1} of a text from {r.From}: ask for it again, or ring", Ago.Say(now - r.ReceivedAt)))];
    }

    private async Task<IReadOnlyList<Line>> StepsNotSent(Instant now, CancellationToken stop)
    {
        var since = now - LookBack;
        var rows = await (
            from step in db.Steps.AsNoTracking()
            join patient in db.Patients on step.PatientId equals patient.Id
            where NotSentSteps.Contains(step.State) && step.StateAt >= since
            orderby step.StateAt descending
            select new { patient.Name, step.StepId, step.State, step.StateAt }).Take(100).ToListAsync(stop);
        return [.. rows.Select(r => new Line($"{r.Name}, {r.StepId}: {StepWords(r.State)}", Ago.Say(now - r.StateAt)))];
    }

    private static string KindWords(OutgoingKind kind) => kind switch
    {
        OutgoingKind.PageText => "page by text",
        OutgoingKind.PageCall => "page by voice",
        OutgoingKind.SafetyReply => "answer to a report",
        OutgoingKind.Step => "step of an aftercare plan",
        _ => "notice",
    };

    private static string StateWords(OutgoingState state) => state switch
    {
        OutgoingState.Refused => "refused by the carrier",
        OutgoingState.TooLate => "given up, too late to be of use",
        OutgoingState.Unclear => "nobody knows whether it went",
        _ => "sent, and did not arrive",
    };

    private static string StepWords(StepState state) => state switch
    {
        StepState.Stopped => "not sent, the number asked for no texts",
        StepState.NotAgreed => "not sent, no agreement to texts is kept",
        StepState.Merged => "not sent, a newer step spoke instead",
        _ => "not sent, too late to be of use",
    };
}
