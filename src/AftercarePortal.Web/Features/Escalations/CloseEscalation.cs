using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Closes an escalation. Only the person who took it, and only with an outcome in words.</summary>
internal sealed class CloseEscalation(PortalDb db, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Closed : Outcome;
        public sealed record OutcomeMissing : Outcome;
        /// <summary>The patient has written since the page was opened: it must be read first.</summary>
        public sealed record WrittenMeanwhile : Outcome;
        public sealed record NotYours : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="person">Staff id.</param>
    /// <param name="seen">How many messages of it the page showed.</param>
    public async Task<Outcome> Run(Guid id, string person, string? outcome, int seen, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (string.IsNullOrWhiteSpace(outcome)) return new Outcome.OutcomeMissing();
        await using var all = await db.Database.BeginTransactionAsync(stop);
        var closed = await db.Escalations
            .Where(e => e.Id == id && e.TakenBy == person && e.ClosedAt == null)
            .ExecuteUpdateAsync(
                set => set.SetProperty(e => e.ClosedAt, now).SetProperty(e => e.ClosedBy, person).SetProperty(e => e.Turn, e => e.Turn + 1)
                    .SetProperty(e => e.Outcome, outcome.Trim().WithoutNul()).SetProperty(e => e.OpenKey, id.ToString()), stop);
        var escalation = await db.Escalations.AsNoTracking().SingleOrDefaultAsync(e => e.Id == id, stop);
        if (escalation is null) return new Outcome.NotFound();
        if (closed == 0) return new Outcome.NotYours();
        if (await db.Readings.CountAsync(r => r.EscalationId == id, stop) > seen) return new Outcome.WrittenMeanwhile();      // the transaction takes it back

        db.Note(escalation, EscalationEvent.Closed, now, person);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return new Outcome.Closed();
    }
}
