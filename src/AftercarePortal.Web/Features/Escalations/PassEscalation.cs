using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Somebody paged passes it on: the next person at once. Whoever has it gives it back: everyone is asked. When everyone was paged already it is only noted; the round goes on.</summary>
internal sealed class PassEscalation(PortalDb db, CarryOutSteps carryOut, TimeProvider time)
{
    /// <summary>Puts it into the current unit of work; the caller saves.</summary>
    public async Task Run(EscalationRow escalation, string person, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var events = await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == escalation.Id).ToListAsync(stop);
        db.Note(escalation, EscalationEvent.Passed, now, person);
        if (escalation.TakenBy == person && escalation.ClosedAt is null)
            await carryOut.After(escalation, new Happening.GivenBack(), now, stop);
        else if (escalation.TakenBy is null && escalation.ClosedAt is null && PagingRound.LastPagedOnly(events, person))
            await carryOut.After(escalation, new Happening.NobodyTookIt(), now, stop);
    }
}
