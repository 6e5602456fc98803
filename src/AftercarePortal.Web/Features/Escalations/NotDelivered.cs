using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>A text did not arrive. A page to one person: the next at once. Word to whoever has it, that the patient wrote again or is to be rung: asked by text and voice to confirm. Words to a patient: whoever has the report is told to ring.</summary>
/// <remarks>In a round that paged everyone a dead number moves nothing on, or one bad number would page everyone without end (H9).</remarks>
internal sealed class NotDelivered(PortalDb db, CarryOutSteps carryOut, MarkTrouble mark, TimeProvider time) : IJobHandler
{
    public string Kind => MessageJobs.NotDelivered;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var outgoingId = Guid.Parse(subject);
        var outgoing = await db.Outgoing.SingleAsync(o => o.Id == outgoingId, stop);
        if (outgoing.Kind is OutgoingKind.PageText or OutgoingKind.PageCall) await LookAtTheNumber(outgoing, now, stop);
        var page = PageKey.Of(outgoing.Key);
        if (page is { What: PageKey.Paged })
            await MoveOn(page.Report, page.Round, page.Person, outgoing.Id, outgoing.Kind is OutgoingKind.PageCall, stop);
        else if (page is { What: PageKey.MoreWritten or PageKey.ToRing })
            await TakerNotReached(page, outgoing, now, stop);
        else if (outgoing.Kind is not (OutgoingKind.PageText or OutgoingKind.PageCall) && await ReportOf(outgoing, stop) is { } open)
            await PatientNotReached(open, outgoing, now, stop);
        await db.SaveChangesAsync(stop);
    }

    // What a report told the patient is of that report, also when her number was changed since.
    private async Task<EscalationRow?> ReportOf(OutgoingRow outgoing, CancellationToken stop) =>
        outgoing.ReportId is { } id
            ? await db.Escalations.SingleOrDefaultAsync(e => e.Id == id && e.ClosedAt == null, stop)
            : await db.Escalations.SingleOrDefaultAsync(e => e.OpenKey == outgoing.To, stop);

    private async Task LookAtTheNumber(OutgoingRow page, Instant now, CancellationToken stop)
    {
        var said = await db.Deliveries.AsNoTracking().Where(d => d.OutgoingId == page.Id).OrderByDescending(d => d.Id).ToListAsync(stop);
        var failed = said.FindAll(d => MessageTable.NotArrived.Contains(d.Status));
        if (failed.Count == 0 && said.Exists(d => d.Status is HeardOf.Unheard)) return;               // nobody knows what became of it
        var last = failed.Find(d => d.ErrorCode is not null) ?? failed.FirstOrDefault();              // a report without a code takes none back
        var way = page.Kind is OutgoingKind.PageCall ? ContactWay.Call : ContactWay.Text;
        if (TroubleReading.Of(page, last) is { } what) await mark.Run(page.To, way, what, last?.ErrorCode ?? page.RefusedCode, now, stop);
    }

    private async Task PatientNotReached(EscalationRow open, OutgoingRow outgoing, Instant now, CancellationToken stop)
    {
        if (await db.EscalationEvents.AnyAsync(e => e.EscalationId == open.Id && e.OutgoingId == outgoing.Id && e.What == EscalationEvent.PatientCannotBeTexted, stop)) return;
        db.Note(open, EscalationEvent.PatientCannotBeTexted, now, outgoing: outgoing.Id);
        await carryOut.AskToRing(open, outgoing.Id.ToString(), now, stop);
    }

    // Asked anew already, that page tells by itself whether it arrives.
    private async Task TakerNotReached(PageKey page, OutgoingRow text, Instant now, CancellationToken stop)
    {
        var open = await db.Escalations.SingleAsync(e => e.Id == page.Report, stop);
        if (open.ClosedAt is not null || open.ConfirmRound is not null || open.TakenBy != page.Person) return;      // or meant for somebody who had it before
        if (await db.EscalationEvents.AnyAsync(e => e.EscalationId == open.Id && e.OutgoingId == text.Id && e.What == EscalationEvent.TakerNotReached, stop)) return;
        db.Note(open, EscalationEvent.TakerNotReached, now, page.Person, text.Id);
        await carryOut.After(open, new Happening.TakerNotReached(), now, stop);
    }

    private async Task MoveOn(Guid id, int round, string person, Guid outgoing, bool isCall, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var escalation = await db.Escalations.SingleAsync(e => e.Id == id, stop);
        if (escalation.ClosedAt is not null) return;
        var events = await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == id).ToListAsync(stop);
        db.Note(escalation, EscalationEvent.PageNotDelivered, now, person, outgoing);
        if (PagingRound.Of(events) != round || !PagingRound.LastPagedOnly(events, person)) return;
        if (escalation.TakenBy is null) await carryOut.After(escalation, new Happening.NobodyTookIt(), now, stop);
        // Whoever has it may be on the phone with the patient: a busy line is no refusal, and the timer runs. A text that failed reaches nobody.
        else if (escalation.ConfirmRound == round && !isCall) await carryOut.After(escalation, new Happening.NotConfirmed(), now, stop);
    }
}
