using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
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
    /// <summary>One placement of the latest treatment, in words.</summary>
    /// <param name="Product">Name and product class.</param>
    /// <param name="Where">Region, side and plane.</param>
    /// <param name="Amount">As signed, with its unit.</param>
    public sealed record Placed(string Product, string Lot, string Where, string Amount);

    /// <summary>Patients whose number this is, when it is not known which of them writes.</summary>
    public IReadOnlyList<string> Sharing { get; private set; } = [];

    public EscalationRow Row { get; private set; } = null!;
    public string TierName => Row.Tier.Name();
    /// <summary>Who has it and how long it is open, or who closed it with what outcome, in words.</summary>
    public string Standing { get; private set; } = "";
    /// <summary>Somebody else was first: the page says who has it.</summary>
    public bool Late { get; private set; }
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
    /// <summary>The latest signed treatment of the patient; null: none, or it is not known which patient writes.</summary>
    public TreatmentRow? Treatment { get; private set; }
    /// <summary>Days since <see cref="Treatment"/> on the clinic's calendar; 0 without one.</summary>
    public int Day { get; private set; }
    /// <summary>For example <c>3 June 2026</c>; only where there is a <see cref="Treatment"/>.</summary>
    public string TreatedOn => Treatment!.TreatedOn.ToString("d MMMM uuuu", System.Globalization.CultureInfo.InvariantCulture);
    /// <summary>Of <see cref="Treatment"/>, in the order of the record.</summary>
    public IReadOnlyList<Placed> Placements { get; private set; } = [];
    /// <summary>What to think of with what was placed, such as what does not dissolve it; without limits of amounts.</summary>
    public IReadOnlyList<Clinical.Treatment.SafetyPrompt> Reminders { get; private set; } = [];
    /// <summary>The latest first.</summary>
    public IReadOnlyList<Written> Messages { get; private set; } = [];
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

    public async Task<IActionResult> OnPostTakeAsync(Guid id, int asked, CancellationToken stop) =>
        await take.Run(id, Person, asked, stop) switch
        {
            TakeEscalation.Outcome.Yours or TakeEscalation.Outcome.AskedSince => RedirectToPage(new { id }),
            TakeEscalation.Outcome.AlreadyTaken => RedirectToPage(new { id, late = true }),
            _ => NotFound(),
        };

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
                return RedirectToPage(new { id, late = true });
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
        if (row.PatientId is not { } patientId)
        {
            if (!row.FromIntake) Sharing = await db.Patients.AsNoTracking().Where(p => p.Number == row.Number).OrderBy(p => p.Name).Select(p => p.Name).ToListAsync(stop);
            return;
        }

        PatientName = (await db.Patients.AsNoTracking().SingleAsync(p => p.Id == patientId, stop)).Name;
        Treatment = await db.LatestTreatmentOf(patientId, stop);
        if (Treatment is not { } treatment) return;
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == row.ClinicId, stop);
        var today = now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;
        Day = Period.DaysBetween(treatment.TreatedOn, today);
        Reminders = [.. content.Safety.For([.. treatment.Placements.Select(p => p.Deposit)]).Where(p => !p.OverLimit)];
        Placements =
        [
            .. treatment.Placements.OrderBy(p => p.Ordinal).Select(p => new Placed(
                $"{p.ProductName} ({p.ProductClass.Name()})", p.Lot, $"{Plain(p.Region)}, {Plain(p.Side)}, {Plain(p.Plane)}", p.Amount)),
        ];
    }

    private async Task LoadMessages(EscalationRow row, Instant now, CancellationToken stop)
    {
        var written =
            from reading in db.Readings.AsNoTracking()
            join message in db.Messages.AsNoTracking() on reading.MessageId equals message.Id
            where reading.EscalationId == row.Id
            orderby message.WrittenAt descending
            select new { reading, message };
        var photos = await PhotosOf(row, now, stop);
        var messages = new List<Written>();
        foreach (var w in await written.ToListAsync(stop))
        {
            var stored = JsonSerializer.Deserialize<Reading>(w.reading.Json)!;
            var why = stored.Clues.Where(c => c.Tier >= Tier.SameDay).Select(c => content.Lexicon.NameOf(c.ConceptId)).Concat(stored.Floors).Distinct();
            messages.Add(new(
                Ago.Say(now - w.message.WrittenAt), w.reading.Tier.Name(), w.message.RawForm switch
                {
                    MessageRow.FromIntake => "Not a text: written into an intake for a consultation. It may be a fear and not a report; ask.",
                    MessageRow.FromReview => "Not a text: written on the clinic's screen at a review visit. The patient may still be there.",
                    _ when w.message.IsLate => $"Reached us {Ago.Say(w.message.ReceivedAt - w.message.WrittenAt)} after it was written: no delivery came, and we found it in the carrier's list.",
                    _ => null,
                }, [.. photos[w.message.Id]],
                Mark(w.message.Text, stored.Clues), string.Join("; ", why), w.reading.Version, await readAnew.Of(w.reading, stored, w.message, stop)));
        }

        Messages = messages;
    }

    private async Task LoadCheckIns(EscalationRow row, Instant now, CancellationToken stop)
    {
        if (row.FromIntake) return;                                             // nobody checked the number: they may be another person's
        var since = now - Duration.FromDays(Treatment is null ? 30 : Math.Clamp(Day + 1, 1, 400));
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

    // JawAngle → jaw angle: the names of the core are plain words without their spaces.
    private static string Plain(Enum name) =>
        string.Concat(name.ToString().Select((c, i) => char.IsUpper(c) ? (i == 0 ? "" : " ") + char.ToLowerInvariant(c) : c.ToString()));

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
