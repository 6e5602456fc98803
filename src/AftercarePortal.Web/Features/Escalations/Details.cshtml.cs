using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Photos;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.AspNetCore.Mvc;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using NodaTime;
using System.Text.Json;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>The on-call page: one look tells who, what day, what went where, what was written, how long ago.</summary>
internal sealed class DetailsModel(PortalDb db, TakeEscalation take, CloseEscalation close, ReadAnew readAnew, ContentLibrary content, TimeProvider time) : PageModel
{
    /// <summary>A piece of what was written.</summary>
    /// <param name="Marked">The rules found a sign in it.</param>
    public sealed record Part(string Text, bool Marked);
    /// <summary>One message of the report, as it was read.</summary>
    /// <param name="Ago">How long ago it was written.</param>
    /// <param name="NotAText">That it is no text, or reached us late; null: neither.</param>
    /// <param name="Parts">What was written, in order.</param>
    /// <param name="Why">What the tier was read from, parted by semicolons; may be empty.</param>
    /// <param name="Version">Lexicon version.</param>
    /// <param name="Anew">How the lexicon in force would read it; null: it is the same lexicon.</param>
    public sealed record Written(string Ago, string TierName, string? NotAText, IReadOnlyList<ShownPhoto> Photos, IReadOnlyList<Part> Parts, string Why, string Version, string? Anew);

    /// <summary>Patients whose number this is, too: all of them when it is not known which of them writes, else the others.</summary>
    public IReadOnlyList<string> Sharing { get; private set; } = [];

    public EscalationRow Row { get; private set; } = null!;
    public string TierName => Row.Tier.Name();
    /// <summary>Who has it and how long it is open, or who closed it with what outcome, in words.</summary>
    public string Standing { get; private set; } = "";
    /// <summary>What was tapped came late: the page says who has it or closed it.</summary>
    public bool Late { get; private set; }
    /// <summary>Who has it or closed it, to somebody who tapped late.</summary>
    public string LateWords => Row switch
    {
        { ClosedAt: not null } when Row.ClosedBy == Person => "You have closed it already.",
        { ClosedAt: not null } => $"{_names.Of(Row.ClosedBy!)} has closed it.",
        { TakenBy: null } => "Nobody has it: it was given back, or it was opened again because no outcome came.",
        _ when Row.TakenBy == Person => "You have it.",
        _ => $"Somebody else was first. {Holder} has it.",
    };
    /// <summary>It was to be closed by somebody who does not have it: nothing was kept of what they typed, which the page shows.</summary>
    public bool NotClosed { get; private set; }
    /// <summary>The words of whoever closed it are those that were typed: of two taps this is the second.</summary>
    public bool IsKept => Row.ClosedBy == Person && Row.Outcome == Outcome?.Trim();
    /// <summary>It is open and nobody has it.</summary>
    public bool CanTake => Row.TakenBy is null && Row.ClosedAt is null;
    /// <summary>Raised after this person took it, and not confirmed yet.</summary>
    public bool MustConfirm => CanClose && Row.ConfirmRound is not null;
    /// <summary>Whoever looks has it, and it is open.</summary>
    public bool CanClose => Row.TakenBy == Person && Row.ClosedAt is null;
    /// <summary>It was to be closed without an outcome: the page asks for one.</summary>
    public bool OutcomeMissing { get; private set; }
    /// <summary>The patient has written since the page was opened, so it was not closed.</summary>
    public bool WrittenMeanwhile { get; private set; }
    /// <summary>The outcome as typed.</summary>
    public string? Outcome { get; private set; }
    /// <summary>The last word of the number was STOP: the page says to ring.</summary>
    public bool CannotBeTexted { get; private set; }
    /// <summary>Null: it is not known which patient writes.</summary>
    public string? PatientName { get; private set; }
    /// <summary>What the patient was given within the half year aftercare runs, the latest first; empty: no record, or it is not known which patient writes.</summary>
    public IReadOnlyList<GivenTreatment> Treatments { get; private set; } = [];
    /// <summary>Who has begun a record of this patient that nobody signed; what it says is not among the treatments.</summary>
    public IReadOnlyList<string> Unsigned { get; private set; } = [];
    /// <summary>Numbers, E.164, that were written from and are not the one in the records: she may be reached there.</summary>
    public IReadOnlyList<string> WroteFrom { get; private set; } = [];
    /// <summary>What to think of with what was placed, such as what does not dissolve it; without limits of amounts.</summary>
    public IReadOnlyList<Clinical.Treatment.SafetyPrompt> Reminders { get; private set; } = [];
    /// <summary>The latest first; with what was written in the two days before it and read as routine then.</summary>
    public IReadOnlyList<Written> Messages { get; private set; } = [];
    /// <summary>How many messages of the report itself are shown: it is closed only by who has seen all.</summary>
    public int Seen { get; private set; }
    /// <summary>Check-in answers of this number since the treatment, oldest first; none for an intake, whose number nobody checked.</summary>
    public IReadOnlyList<string> CheckIns { get; private set; } = [];
    /// <summary>Everything that happened to it, oldest first.</summary>
    public IReadOnlyList<ChainLink> Chain { get; private set; } = [];
    /// <summary>Whether our last text to the patient arrived.</summary>
    public PatientReached Reached { get; private set; } = new("", false);

    private string Person => User.StaffId;
    private StaffNames _names = null!;

    /// <summary>Who has it or closed it.</summary>
    public string Holder => _names.Of(Row.TakenBy ?? Row.ClosedBy ?? "");

    public async Task<IActionResult> OnGetAsync(Guid id, bool late, CancellationToken stop)
    {
        Late = late;
        return await Load(id, stop) ? Page() : NotFound();
    }

    /// <param name="outcome">Typed before it was taken, where closing it was refused: it stands in the form again.</param>
    public async Task<IActionResult> OnPostTakeAsync(Guid id, int asked, string? outcome, CancellationToken stop)
    {
        switch (await take.Run(id, Person, asked, stop))
        {
            case TakeEscalation.Outcome.Yours or TakeEscalation.Outcome.AskedSince when string.IsNullOrWhiteSpace(outcome):
                return RedirectToPage(new { id });
            case TakeEscalation.Outcome.Yours or TakeEscalation.Outcome.AskedSince:
                Outcome = outcome;
                return await Load(id, stop) ? Page() : NotFound();
            case TakeEscalation.Outcome.AlreadyTaken when string.IsNullOrWhiteSpace(outcome):
                return RedirectToPage(new { id, late = true });
            case TakeEscalation.Outcome.AlreadyTaken:
                (NotClosed, Outcome) = (true, outcome);
                return await Load(id, stop) ? Page() : NotFound();
            default:
                return NotFound();
        }
    }

    public async Task<IActionResult> OnPostCloseAsync(Guid id, string? outcome, int seen, CancellationToken stop)
    {
        switch (await close.Run(id, Person, outcome, seen, stop))
        {
            case CloseEscalation.Outcome.Closed:
                return RedirectToPage("Index");
            case CloseEscalation.Outcome.OutcomeMissing:
                OutcomeMissing = true;
                return await Load(id, stop) ? Page() : NotFound();
            case CloseEscalation.Outcome.WrittenMeanwhile:
                (WrittenMeanwhile, Outcome) = (true, outcome);
                return await Load(id, stop) ? Page() : NotFound();
            case CloseEscalation.Outcome.NotYours:
                (NotClosed, Outcome) = (true, outcome);
                return await Load(id, stop) ? Page() : NotFound();
            default:
                return NotFound();
        }
    }

    private async Task<bool> Load(Guid id, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var row = await db.Escalations.AsNoTracking().SingleOrDefaultAsync(e => e.Id == id, stop);
        if (row is null) return false;
        (Row, _names) = (row, await db.NamesOfStaff(stop));
        Standing = row switch
        {
            { ClosedAt: not null } => $"Closed by {Holder}: {row.Outcome}",
            { TakenBy: not null } => $"Taken by {Holder}, {Ago.Say(now - row.TakenAt!.Value)} ago. Open for {Ago.Say(now - row.WrittenAt)}.{(row.ConfirmRound is null ? "" : " It got worse since, and that is not confirmed yet.")}",
            _ => $"Nobody has taken it yet. Waiting {Ago.Say(now - row.WrittenAt)}.",
        };
        CannotBeTexted = await db.HasStopped(row.Number, stop);
        await LoadTreatment(row, now, stop);
        await LoadMessages(row, now, stop);
        await LoadCheckIns(row, now, stop);
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == row.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        (Chain, Reached) = await ChainOfEvents.Of(db, row, _names, zone, stop);
        return true;
    }

    private async Task LoadTreatment(EscalationRow row, Instant now, CancellationToken stop)
    {
        if (!row.FromIntake) Sharing = await db.Patients.AsNoTracking().Where(p => p.Number == row.Number && p.Id != row.PatientId).OrderBy(p => p.Name).Select(p => p.Name).ToListAsync(stop);
        if (row.PatientId is not { } patientId) return;
        PatientName = (await db.Patients.AsNoTracking().SingleAsync(p => p.Id == patientId, stop)).Name;
        Unsigned = await db.TreatmentDrafts.AsNoTracking().Where(d => d.PatientId == patientId).OrderBy(d => d.SavedAt).Select(d => d.StaffName).ToListAsync(stop);
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == row.ClinicId, stop);
        var zone = DateTimeZoneProviders.Tzdb[clinic.Zone];
        var today = now.InZone(zone).Date;
        var treatments = await db.RunningTreatmentsOf(patientId, today, stop);
        Treatments = [.. treatments.Select(t => GivenTreatment.Of(t, today, zone))];
        Reminders = [.. content.Safety.For([.. treatments.SelectMany(t => t.Placements).Select(p => p.Deposit)]).Where(p => !p.OverLimit)];
    }

    private async Task LoadMessages(EscalationRow row, Instant now, CancellationToken stop)
    {
        var before = row.OpenedAt - ConversationSoFar.ReadTogether;
        var written =
            from reading in db.Readings.AsNoTracking()
            join message in db.Messages.AsNoTracking() on reading.MessageId equals message.Id
            where reading.EscalationId == row.Id || (!row.FromIntake && reading.EscalationId == null && message.From == row.Number && message.WrittenAt >= before && message.WrittenAt <= row.OpenedAt)
            orderby message.WrittenAt descending
            select new { reading, message, Writer = db.Set<PatientRow>().Where(p => p.Id == message.PatientId).Select(p => p.Name).FirstOrDefault() };
        var photos = await PhotosOf(row, now, stop);
        var typed = row.FromIntake ? await NumbersTyped(row, stop) : new Dictionary<string, string>();
        var (messages, from, ofBefore) = (new List<Written>(), new List<string>(), 0);
        foreach (var w in await written.ToListAsync(stop))
        {
            from.Add(w.message.From);
            if (w.reading.EscalationId is null) ofBefore++;
            var stored = JsonSerializer.Deserialize<Reading>(w.reading.Json)!;
            var why = stored.Clues.Where(c => c.Tier >= Tier.SameDay).Select(c => content.Lexicon.NameOf(c.ConceptId)).Concat(stored.Floors).Distinct();
            messages.Add(new(
                Ago.Say(now - w.message.WrittenAt), w.reading.Tier.Name(), w.message.RawForm switch
                {
                    MessageRow.FromIntake => $"Not a text: written into an intake for a consultation. It may be a fear and not a report; ask.{(typed.GetValueOrDefault(w.message.From) is { } other && other != row.Number ? $" Another intake, with another number: {other}. Many came at once." : "")}",
                    MessageRow.FromReview => $"Not a text: written on the clinic's screen at a review visit by {w.Writer}, who may still be there.",
                    _ when w.reading.EscalationId is null => "Read as routine when it came, before this report was opened.",
                    _ when w.message.IsLate => $"Reached us {Ago.Say(w.message.ReceivedAt - w.message.WrittenAt)} after it was written: no delivery came, and we found it in the carrier's list.",
                    _ when w.message.From != row.Number => $"Written from {w.message.From}; the number in the records is another now.",
                    _ => null,
                }, [.. photos[w.message.Id]],
                Mark(w.message.Text, stored.Clues), string.Join("; ", why), w.reading.Version, await readAnew.Of(w.reading, stored, w.message, stop)));
        }

        Messages = messages;
        Seen = from.Count - ofBefore;
        if (!row.FromIntake) WroteFrom = [.. from.Distinct().Where(number => number != row.Number)];
    }

    // Where many intakes came at once, one report holds several: sender of the message → the number typed into its intake.
    private async Task<Dictionary<string, string>> NumbersTyped(EscalationRow row, CancellationToken stop)
    {
        var from = await db.Readings.AsNoTracking().Where(r => r.EscalationId == row.Id).Join(db.Messages.AsNoTracking(), r => r.MessageId, m => m.Id, (r, m) => m.From).Distinct().ToListAsync(stop);
        var senders = from.ToDictionary(MessageRow.IntakeOf, f => f);
        var ids = senders.Keys.ToList();
        var intakes = await db.Intakes.AsNoTracking().Where(i => ids.Contains(i.Id)).Select(i => new { i.Id, i.Number }).ToListAsync(stop);
        return intakes.ToDictionary(i => senders[i.Id], i => i.Number ?? "");
    }

    private async Task LoadCheckIns(EscalationRow row, Instant now, CancellationToken stop)
    {
        if (row.FromIntake) return;                                             // nobody checked the number: they may be another person's
        var since = now - Duration.FromDays(Treatments.FirstOrDefault(t => t.Placements.Count > 0) is { } latest ? Math.Clamp(latest.Day + 1, 1, 400) : 30);
        CheckIns =
        [
            .. (await db.CheckIns.AsNoTracking().Where(c => c.Number == row.Number && c.At >= since).OrderBy(c => c.At).ThenBy(c => c.Id).ToListAsync(stop))
                .Select(c => $"{Ago.Say(now - c.At)} ago: {(c.Pain is { } pain ? $"pain {pain} of 10" : c.Letter!.ToUpperInvariant())}"),
        ];
    }

    // Everything but the bytes.
    private async Task<ILookup<Guid, ShownPhoto>> PhotosOf(EscalationRow row, Instant now, CancellationToken stop)
    {
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == row.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        var photos =
            from reading in db.Readings
            join message in db.Messages on reading.MessageId equals message.Id
            join photo in db.Photos on message.Id equals photo.MessageId
            where reading.EscalationId == row.Id
            orderby photo.Index
            select new { message.Id, message.WrittenAt, PhotoId = photo.Id, photo.Index, photo.State, HasFile = photo.Sealed != null, photo.Width, photo.Height };
        return (await photos.ToListAsync(stop)).ToLookup(p => p.Id, p => ShownPhoto.Of(p.PhotoId, p.Index, p.State, p.HasFile, p.Width, p.Height, p.WrittenAt, now, zone));
    }

    private static List<Part> Mark(string text, IReadOnlyList<Clue> clues)
    {
        var parts = new List<Part>();
        var at = 0;
        foreach (var clue in clues.OrderBy(c => c.Start).Where(c => c.End <= text.Length))
        {
            if (clue.Start < at) continue;
            parts.Add(new(text[at..clue.Start], false));
            parts.Add(new(text[clue.Start..clue.End], true));
            at = clue.End;
        }

        parts.Add(new(text[at..], false));
        return parts;
    }
}
