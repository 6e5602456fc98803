using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Rota;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Somebody of staff texted STOP: the carrier sends that number no page any more. Marked, warned of, and what waits for this person moves on at once.</summary>
internal sealed class StaffStop(PortalDb db, CarryOutSteps carryOut, MarkTrouble mark)
{
    /// <summary>Puts it into the current unit of work; the caller saves.</summary>
    public async Task Run(string person, string number, Instant now, CancellationToken stop)
    {
        await mark.Run(number, ContactWay.Text, TroubleKind.Stopped, code: null, now, stop);
        foreach (var escalation in (await db.Escalations.Where(e => e.ClosedAt == null && (e.TakenBy == null || (e.TakenBy == person && e.ConfirmRound != null))).ToListAsync(stop)).WorstFirst())
        {
            var events = await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == escalation.Id).ToListAsync(stop);
            if (!PagingRound.LastPagedOnly(events, person)) continue;
            db.Note(escalation, EscalationEvent.PageNotDelivered, now, person);
            await carryOut.After(escalation, escalation.TakenBy is null ? new Happening.NobodyTookIt() : new Happening.NotConfirmed(), now, stop);
        }
    }
}
