using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>The time to take it, or to confirm it after it was raised, is over: the next person, in the end everyone.</summary>
internal sealed class AckDue(PortalDb db, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => EscalationJobs.AckDue;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var (id, round) = Timer.Read(subject);
        var escalation = await db.Escalations.SingleAsync(e => e.Id == id, stop);
        if (escalation.ClosedAt is not null) return;
        var events = await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == id).ToListAsync(stop);
        // Asked again and again while it gets worse: the first asking nobody answered counts, or the sicker she gets, the later somebody else wakes.
        // While nobody has it a later round has its own timer.
        if (escalation.TakenBy is null ? PagingRound.Of(events) != round : escalation.ConfirmRound is null || PagingRound.IsAnswered(events, round)) return;
        await carryOut.After(escalation, escalation.TakenBy is null ? new Happening.NobodyTookIt() : new Happening.NotConfirmed(), now, stop);
        await db.SaveChangesAsync(stop);
    }
}

/// <summary>Somebody took it: the patient hears so, and the outcome gets its time.</summary>
internal sealed class Taken(PortalDb db, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => EscalationJobs.Taken;

    public async Task Run(string subject, CancellationToken stop)
    {
        var escalation = await db.Escalations.SingleAsync(e => e.Id == Guid.Parse(subject), stop);
        if (escalation.TakenBy is null || escalation.ConfirmRound is not null) return;      // given back, or asked anew: the patient hears what comes of that
        await carryOut.After(escalation, new Happening.Taken(), time.GetCurrentInstant(), stop);
        await db.SaveChangesAsync(stop);
    }
}

/// <summary>Taken, but no outcome yet: remind as often as the content says, then reopen for everyone.</summary>
internal sealed class OutcomeDue(PortalDb db, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => EscalationJobs.OutcomeDue;

    public async Task Run(string subject, CancellationToken stop)
    {
        var (id, round) = Timer.Read(subject);
        var escalation = await db.Escalations.SingleAsync(e => e.Id == id, stop);
        if (escalation.ClosedAt is not null || escalation.TakenBy is null) return;
        if (PagingRound.OutcomeOf(await db.EscalationEvents.Where(e => e.EscalationId == id).ToListAsync(stop)) != round) return;
        await carryOut.After(escalation, new Happening.OutcomeIsDue(), time.GetCurrentInstant(), stop);
        await db.SaveChangesAsync(stop);
    }
}
