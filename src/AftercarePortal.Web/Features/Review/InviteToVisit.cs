using System.Globalization;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Invites a person to a consultation visit, moves the invitation or cancels it. It clears nobody for treatment.</summary>
internal sealed class InviteToVisit(PortalDb db, ContentLibrary content, TimeProvider time)
{
    private const int LongestPlace = 200;
    private static readonly LocalTimePattern WallClock = LocalTimePattern.CreateWithInvariantCulture("HH:mm");

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Kept : Outcome;
        public sealed record Refused(IReadOnlyList<string> Faults) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="id">A sent intake whose latest decision is an invitation.</param>
    /// <param name="form">As typed.</param>
    /// <param name="cancel">True to call the visit off; day and time are then those it had.</param>
    public async Task<Outcome> Run(Guid id, VisitForm form, bool cancel, string by, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await db.Intakes.SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return new Outcome.NotFound();
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await db.HoldPatients(stop);                                               // nobody decides meanwhile
        var clinic = await db.Clinics.SingleAsync(c => c.Id == intake.ClinicId, stop);
        var zone = DateTimeZoneProviders.Tzdb[clinic.Zone];
        var latest = await db.LatestVisitOf(id, stop);
        var decided = await db.Decisions.Where(d => d.IntakeId == id).OrderByDescending(d => d.Number).Select(d => (Decision?)d.Decision).FirstOrDefaultAsync(stop);

        // decide
        if ((latest?.Number ?? 0) > form.Seen) return new Outcome.Refused([$"{latest!.WrittenBy} wrote about this visit meanwhile. Look at it first."]);
        if (form.Seen != (latest?.Number ?? 0)) return new Outcome.Refused([OpenedAt.Never]);
        if (cancel && latest is not { Cancelled: false }) return new Outcome.Refused(["There is no visit to call off."]);
        if (!cancel && decided is not Decision.Accepted) return new Outcome.Refused(["Decide first to invite this person to a consultation."]);
        var faults = new List<string>();
        var starts = cancel ? latest!.StartsAt : StartOf(form, zone, now, faults);
        var minutes = cancel ? latest!.Minutes : int.TryParse(form.Minutes, NumberStyles.None, CultureInfo.InvariantCulture, out var read) && read is >= 5 and <= 480 ? read : 0;
        if (minutes == 0) faults.Add("Give the length in minutes, from 5 to 480.");
        if (form.Place?.Length > LongestPlace) faults.Add($"The place takes up to {LongestPlace} characters.");
        if (faults.Count > 0) return new Outcome.Refused(faults);

        // write
        var visit = new VisitRow
        {
            IntakeId = id, Number = form.Seen + 1, StartsAt = starts, Minutes = minutes, Place = (cancel ? latest!.Place : form.Place?.Trim()) ?? "", Cancelled = cancel, WrittenBy = by, WrittenAt = now,
        };
        db.Add(visit);
        intake.Visit = WordsOf(visit, zone, content.Pages[intake.Language]);
        intake.KeepOpen(now, visit.StartsAt + Duration.FromDays(2));
        await db.Tell(content, intake, clinic, $"visit:{id}:{visit.Number}", "visit-word", now, stop);
        try
        {
            await db.SaveChangesAsync(stop);
            await all.CommitAsync(stop);
            return new Outcome.Kept();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            await all.RollbackAsync(stop);
            if (await db.LatestVisitOf(id, stop) is { } other && other.Number > form.Seen) return new Outcome.Refused([$"{other.WrittenBy} wrote about this visit meanwhile. Look at it first."]);
            throw;
        }
    }

    // A time the clocks skip is refused rather than moved; of a time that comes twice it is the first.
    private static Instant StartOf(VisitForm form, DateTimeZone zone, Instant now, List<string> faults)
    {
        var (day, at) = (LocalDatePattern.Iso.Parse(form.Day ?? ""), WallClock.Parse(form.At ?? ""));
        if (!day.Success || !at.Success)
        {
            faults.Add("Give a day and a time, for example 09:30.");
            return now;
        }

        var mapped = zone.MapLocal(day.Value.At(at.Value));
        if (mapped.Count == 0) faults.Add("The clocks skip this time on that day. Choose another.");
        else if (mapped.First().ToInstant() <= now) faults.Add("The visit must lie in the future.");
        return mapped.Count == 0 ? now : mapped.First().ToInstant();
    }

    private static string WordsOf(VisitRow visit, DateTimeZone zone, PageWords say)
    {
        var local = visit.StartsAt.InZone(zone);
        var (day, at) = (AnswerWords.OfDate(local.Date, say), WallClock.Format(local.TimeOfDay));
        if (visit.Cancelled) return say.Say("visit-off", day, at);
        return say.Say("visit-at", day, at, visit.Minutes) + (visit.Place.Length > 0 ? " " + say.Say("visit-place", visit.Place) : "");
    }
}
