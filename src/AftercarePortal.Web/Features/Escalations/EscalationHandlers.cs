using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>The time to take it is over: the next person, in the end everyone.</summary>
internal sealed class AckDue(PortalDb db, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => EscalationJobs.AckDue;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var escalation = await db.Escalations.SingleAsync(e => e.Id == Guid.Parse(subject), stop);
        if (escalation.TakenBy is not null || escalation.ClosedAt is not null) return;
        await carryOut.After(escalation, new Happening.NobodyTookIt(), now, stop);
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
        await carryOut.After(escalation, new Happening.Taken(), time.GetCurrentInstant(), stop);
        await db.SaveChangesAsync(stop);
    }
}

/// <summary>Taken, but no outcome yet: remind once, then reopen and page on.</summary>
internal sealed class OutcomeDue(PortalDb db, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => EscalationJobs.OutcomeDue;

    public async Task Run(string subject, CancellationToken stop)
    {
        var escalation = await db.Escalations.SingleAsync(e => e.Id == Guid.Parse(subject), stop);
        if (escalation.ClosedAt is not null || escalation.TakenBy is null) return;
        await carryOut.After(escalation, new Happening.OutcomeIsDue(), time.GetCurrentInstant(), stop);
        await db.SaveChangesAsync(stop);
    }
}

/// <summary>A text did not arrive. A page: the next person at once. Words to a patient: staff are told to ring.</summary>
internal sealed class NotDelivered(PortalDb db, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => MessageJobs.NotDelivered;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var outgoing = await db.Outgoing.SingleAsync(o => o.Id == Guid.Parse(subject), stop);
        var isPage = outgoing.Kind is OutgoingKind.PageText or OutgoingKind.PageCall;
        var escalation = isPage
            ? Guid.TryParse(outgoing.Key.Split(':')[1], out var id) ? await db.Escalations.SingleOrDefaultAsync(e => e.Id == id, stop) : null
            : await db.Escalations.SingleOrDefaultAsync(e => e.OpenKey == outgoing.To, stop);
        if (escalation is null || escalation.ClosedAt is not null) return;
        db.Note(escalation, isPage ? EscalationEvent.PageNotDelivered : EscalationEvent.PatientCannotBeTexted, now);
        if (isPage && escalation.TakenBy is null) await carryOut.After(escalation, new Happening.NobodyTookIt(), now, stop);
        await db.SaveChangesAsync(stop);
    }
}

/// <summary>One text of a staff member: TAKE or PASS, with or without the reference. Anything else gets the list of open references.</summary>
internal sealed class StaffReply(PortalDb db, TakeEscalation take, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => MessageJobs.StaffReply;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var message = await db.Messages.AsNoTracking().SingleAsync(m => m.Id == Guid.Parse(subject), stop);
        var person = await db.Shifts.Where(s => s.Number == message.From).Select(s => s.Person).FirstOrDefaultAsync(stop);
        if (person is null) return;                                             // not a number of staff: kept, never acted on
        var words = message.Text.Trim().ToUpperInvariant().Split(' ', StringSplitOptions.RemoveEmptyEntries);
        var open = await db.Escalations.Where(e => e.ClosedAt == null && e.TakenBy == null).ToListAsync(stop);
        var named = words is [_, var reference, ..] ? open.FirstOrDefault(e => e.Ref == reference) : open is [var only] ? only : null;
        switch (words)
        {
            case ["TAKE", ..] when named is not null:
                var outcome = await take.Run(named.Id, person, stop);
                await Answer(message, outcome is TakeEscalation.Outcome.Yours ? $"{named.Ref} is yours." : $"{named.Ref} was taken by somebody else.", stop);
                break;
            case ["PASS", ..] when named is not null:
                db.Note(named, EscalationEvent.Passed, now, person);
                await carryOut.After(named, new Happening.NobodyTookIt(), now, stop);
                await Answer(message, $"{named.Ref} goes to the next person.", stop);
                break;
            default:
                await Answer(message, open.Count == 0 ? "Nothing is waiting to be taken." : $"Reply TAKE or PASS with one of: {string.Join(' ', open.Select(e => e.Ref))}", stop);
                break;
        }

        await db.SaveChangesAsync(stop);
    }

    private Task Answer(MessageRow message, string text, CancellationToken stop) =>
        db.QueueOnce($"staff-reply:{message.Id}", OutgoingKind.PageText, message.To, message.From, text, time.GetCurrentInstant(), stop);
}
