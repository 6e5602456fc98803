using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Keeps a clinician's decision about one intake, makes an accepted person a patient and tells the person that there is word.</summary>
internal sealed class DecideIntake(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <summary>The most characters of a reason, and of what the person reads.</summary>
    public const int Longest = 2000;

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Decided : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        /// <summary>Somebody decided since the page was opened.</summary>
        public sealed record Meanwhile(string By) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="seen">How many decisions the clinician had seen.</param>
    /// <param name="until">ISO date, needed to defer.</param>
    /// <param name="who">Needed to invite when patients with this number are known: the id of one of them or of one found by <paramref name="wanted"/>, or <see cref="WhoSent.SomebodyNew"/>.</param>
    /// <param name="wanted">Part of a name or number somebody was looked for by, or null.</param>
    public async Task<Outcome> Run(Guid id, int seen, Decision? decision, string? until, string? reason, string? words, string? who, string? wanted, string person, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await db.Intakes.SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return new Outcome.NotFound();
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await db.HoldPatients(stop);                                               // nobody invites, moves or links meanwhile
        var clinic = await db.Clinics.SingleAsync(c => c.Id == intake.ClinicId, stop);
        var latest = await db.LatestDecisionOf(id, stop);
        if (latest is not null && latest.Number > seen) return After(latest);
        if (seen != (latest?.Number ?? 0)) return new Outcome.Refused([OpenedAt.Never]);
        var zone = DateTimeZoneProviders.Tzdb[clinic.Zone];

        // decide
        var reasons = new List<string>();
        if (decision is null) reasons.Add("Choose what to do.");
        var day = LocalDatePattern.Iso.Parse(until ?? "") is { Success: true } read ? read.Value : (LocalDate?)null;
        if (decision is Decision.Deferred && (day is null || day <= now.InZone(zone).Date)) reasons.Add("To defer, give a day after today.");
        if (string.IsNullOrWhiteSpace(reason) || reason.Length > Longest) reasons.Add($"Write your reason, up to {Longest} characters.");
        if (string.IsNullOrWhiteSpace(words) || words.Length > Longest) reasons.Add($"Write what the person reads, up to {Longest} characters.");
        if (decision is not null and not Decision.Accepted && await db.LatestVisitOf(id, stop) is { Cancelled: false } visit && visit.StartsAt > now) reasons.Add("Call the visit off first.");
        var decided = await db.SenderOf(id, stop);
        var known = (await db.KnownWith(intake, wanted, without: null, stop)).Known;
        var same = decided ?? known.FirstOrDefault(p => p.Id.ToString() == who)?.Id;
        // Somebody chosen who is not among them any more was not meant as somebody new.
        if (decision is Decision.Accepted && same is null && who != WhoSent.SomebodyNew && (known.Count > 0 || !string.IsNullOrEmpty(who))) reasons.Add("Say who this is: somebody you know already, or somebody new.");
        if (reasons.Count > 0) return new Outcome.Refused(reasons);

        // write
        var invited = decision is Decision.Accepted ? same ?? (await db.AddPatientFrom(intake, stop)).Id : (Guid?)null;
        db.Add(new DecisionRow
        {
            IntakeId = id, Number = seen + 1, Decision = decision!.Value, Until = decision is Decision.Deferred ? day : null, Reason = reason!.Trim(),
            WordsToPatient = words!.Trim(), DecidedBy = person, DecidedAt = now, PatientId = invited,
        });
        intake.Answer = words.Trim();
        // Somebody who is invited also sees what her examination made of the range.
        intake.NarrowerQuote = decision is Decision.Accepted ? (await db.RangeAfterExamination(id, stop))?.Id : null;
        intake.KeepOpen(now);
        await db.Tell(content, intake, clinic, $"decision:{id}:{seen + 1}", "intake-read", now, stop);
        try
        {
            await db.SaveChangesAsync(stop);
            await all.CommitAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            await all.RollbackAsync(stop);
            if (await db.LatestDecisionOf(id, stop) is { } other && other.Number > seen) return After(other);
            throw;
        }

        return new Outcome.Decided();

        // Sent twice by one person it is one decision.
        Outcome After(DecisionRow other) =>
            !other.CorrectsSender && other.Number == seen + 1 && other.Decision == decision && (other.DecidedBy, other.Reason, other.WordsToPatient) == (person, reason?.Trim(), words?.Trim())
                ? new Outcome.Decided()
                : new Outcome.Meanwhile(other.DecidedBy);
    }
}
