using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>A text did not arrive. A page to one person: the next at once. Words to a patient: staff are told to ring.</summary>
/// <remarks>In a round that paged everyone a dead number moves nothing on, or one bad number would page everyone without end (H9).</remarks>
internal sealed class NotDelivered(PortalDb db, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => MessageJobs.NotDelivered;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var outgoingId = Guid.Parse(subject);
        var outgoing = await db.Outgoing.SingleAsync(o => o.Id == outgoingId, stop);
        if (outgoing.Key.Split(':') is ["page", var id, var round, var person, _])
            await MoveOn(Guid.Parse(id), int.Parse(round), person, stop);
        else if (await db.Escalations.SingleOrDefaultAsync(e => e.OpenKey == outgoing.To, stop) is { } open)
            db.Note(open, EscalationEvent.PatientCannotBeTexted, now);
        await db.SaveChangesAsync(stop);
    }

    private async Task MoveOn(Guid id, int round, string person, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var escalation = await db.Escalations.SingleAsync(e => e.Id == id, stop);
        if (escalation.ClosedAt is not null) return;
        var events = await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == id).ToListAsync(stop);
        db.Note(escalation, EscalationEvent.PageNotDelivered, now, person);
        if (escalation.TakenBy is null && PagingRound.Of(events) == round && PagingRound.LastPagedOnly(events, person))
            await carryOut.After(escalation, new Happening.NobodyTookIt(), now, stop);
    }
}
