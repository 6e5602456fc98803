using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>One clinician takes an escalation. Of two who tap at once, exactly one gets it. Whoever has it confirms in the same way after it was raised.</summary>
internal sealed class TakeEscalation(PortalDb db, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Yours : Outcome;
        /// <summary>They have it, and were asked to confirm something written since: that is not confirmed.</summary>
        public sealed record AskedSince : Outcome;
        /// <summary>Somebody else has it or closed it; <paramref name="By"/>: staff id, empty when nobody has.</summary>
        public sealed record AlreadyTaken(string By) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="asked">The round of the asking they had before them when they tapped, wrote or pressed, 0 for none: what was asked since is not confirmed with it.</param>
    public async Task<Outcome> Run(Guid id, string person, int asked, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await using var all = await db.Database.BeginTransactionAsync(stop);
        var taken = await db.Escalations
            .Where(e => e.Id == id && e.TakenBy == null && e.ClosedAt == null)
            .ExecuteUpdateAsync(set => set.SetProperty(e => e.TakenBy, person).SetProperty(e => e.TakenAt, now).SetProperty(e => e.Turn, e => e.Turn + 1), stop);
        now = time.GetCurrentInstant();                                         // it may have waited for its turn
        var confirmed = taken == 0 ? await Confirm(id, person, asked, stop) : 0;
        if (await db.Escalations.AsNoTracking().SingleOrDefaultAsync(e => e.Id == id, stop) is not { } escalation) return new Outcome.NotFound();
        if (taken + confirmed == 0)
            return escalation.TakenBy != person || escalation.ClosedAt is not null ? new Outcome.AlreadyTaken(escalation.TakenBy ?? escalation.ClosedBy ?? "")
                : escalation.ConfirmRound is null ? new Outcome.Yours() : new Outcome.AskedSince();

        db.Note(escalation, taken == 1 ? EscalationEvent.Taken : EscalationEvent.Confirmed, now, person);
        db.Enqueue(EscalationJobs.Taken, id.ToString(), now, lane: 0);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return new Outcome.Yours();
    }

    private Task<int> Confirm(Guid id, string person, int asked, CancellationToken stop) =>
        db.Escalations.Where(e => e.Id == id && e.TakenBy == person && e.ClosedAt == null && e.ConfirmRound == asked)
            .ExecuteUpdateAsync(set => set.SetProperty(e => e.ConfirmRound, (int?)null).SetProperty(e => e.Turn, e => e.Turn + 1), stop);
}
