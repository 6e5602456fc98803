using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Says that somebody else sent an intake than was decided. What was decided stays, and the person hears nothing of it.</summary>
internal sealed class CorrectSender(PortalDb db, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Corrected : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        /// <summary>Somebody decided since the page was opened.</summary>
        public sealed record Meanwhile(string By) : Outcome;
        /// <summary>No such intake, or nobody said yet who it is.</summary>
        public sealed record NotFound : Outcome;
    }

    /// <param name="seen">How many decisions the clinician had seen.</param>
    /// <param name="who">Id of a patient with the number that was typed or found by <paramref name="wanted"/>, or <see cref="WhoSent.SomebodyNew"/>.</param>
    /// <param name="wanted">Part of a name or number somebody was looked for by, or null.</param>
    /// <param name="reason">How they know, 1 to 2,000 characters.</param>
    public async Task<Outcome> Run(Guid id, int seen, string? who, string? wanted, string? reason, string person, CancellationToken stop)
    {
        // read
        if (await db.Intakes.SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return new Outcome.NotFound();
        if (await db.SenderOf(id, stop) is not { } before) return new Outcome.NotFound();
        var latest = (await db.LatestDecisionOf(id, stop))!;
        if (latest.Number > seen) return After(latest);
        if (latest.Number != seen) return new Outcome.Refused([OpenedAt.Never]);

        // decide
        var reasons = new List<string>();
        var known = (await db.KnownWith(intake, wanted, before, stop)).Known.FirstOrDefault(p => p.Id.ToString() == who);
        if (known is null && who != WhoSent.SomebodyNew) reasons.Add("Say who this is: somebody else you know, or somebody new.");
        if (string.IsNullOrWhiteSpace(reason) || reason.Length > DecideIntake.Longest) reasons.Add($"Write how you know, up to {DecideIntake.Longest} characters.");
        if (reasons.Count > 0) return new Outcome.Refused(reasons);

        // write
        var sender = known?.Id ?? (await db.AddPatientFrom(intake, stop)).Id;
        db.Add(new DecisionRow
        {
            IntakeId = id, Number = seen + 1, Decision = latest.Decision, Until = latest.Until, Reason = reason!.Trim(), WordsToPatient = latest.WordsToPatient,
            CorrectsSender = true, DecidedBy = person, DecidedAt = time.GetCurrentInstant(), PatientId = sender,
        });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await db.LatestDecisionOf(id, stop) is { } other && other.Number > seen) return After(other);
            throw;
        }

        return new Outcome.Corrected();

        // Sent twice by one person it is one correction.
        Outcome After(DecisionRow other) => other.CorrectsSender && other.Number == seen + 1 && other.DecidedBy == person && other.Reason == reason?.Trim() ? new Outcome.Corrected() : new Outcome.Meanwhile(other.DecidedBy);
    }
}
