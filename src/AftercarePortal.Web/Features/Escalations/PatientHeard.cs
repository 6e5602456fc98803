using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>The carrier says that an answer arrived at the patient's phone: only now the chain of events says so. May run twice; notes once.</summary>
internal sealed class PatientHeard(PortalDb db, TimeProvider time) : IJobHandler
{
    public string Kind => MessageJobs.Delivered;

    public async Task Run(string subject, CancellationToken stop)
    {
        var id = Guid.Parse(subject);
        var told = await db.Outgoing.AsNoTracking().SingleAsync(o => o.Id == id, stop);
        if (await EscalationOf(told, stop) is not { } escalation) return;          // an answer to a text that opened nothing
        if (await db.EscalationEvents.AnyAsync(e => e.EscalationId == escalation.Id && e.OutgoingId == id && e.What == EscalationEvent.PatientTold, stop)) return;
        db.Note(escalation, EscalationEvent.PatientTold, time.GetCurrentInstant(), outgoing: id);
        await db.SaveChangesAsync(stop);
    }

    private async Task<EscalationRow?> EscalationOf(OutgoingRow told, CancellationToken stop)
    {
        var id = told.ReportId;
        if (told.Key.Split(':') is ["reply", var message, ..]) id = await db.Readings.Where(r => r.MessageId == Guid.Parse(message)).Select(r => r.EscalationId).SingleOrDefaultAsync(stop);
        return id is null ? null : await db.Escalations.AsNoTracking().SingleAsync(e => e.Id == id, stop);
    }
}
