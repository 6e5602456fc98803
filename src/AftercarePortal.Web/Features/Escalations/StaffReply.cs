using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>One text of a staff member: TAKE or PASS, with or without the reference. Anything else gets the list of open references. A number that is not of staff is read like a patient's text.</summary>
internal sealed class StaffReply(PortalDb db, TakeEscalation take, PassEscalation pass, TimeProvider time) : IJobHandler
{
    public string Kind => MessageJobs.StaffReply;

    public async Task Run(string subject, CancellationToken stop)
    {
        var messageId = Guid.Parse(subject);
        var message = await db.Messages.AsNoTracking().SingleAsync(m => m.Id == messageId, stop);
        var person = (await db.OnCallAt(time.GetCurrentInstant(), stop)).PersonAt(message.From);
        if (person is null)
        {
            // Nobody of staff: it acts on nothing, but it may be a patient who took the wrong number.
            db.Enqueue(MessageJobs.Read, subject, time.GetCurrentInstant(), lane: 1);
            await db.SaveChangesAsync(stop);
            return;
        }

        var words = message.Text.Trim().ToUpperInvariant().Split(' ', StringSplitOptions.RemoveEmptyEntries);
        var open = await db.Escalations.Where(e => e.ClosedAt == null).ToListAsync(stop);
        var waiting = open.Where(e => e.TakenBy is null).ToList();
        var named = words is [_, var reference, ..] ? open.FirstOrDefault(e => e.Ref == reference) : waiting is [var only] ? only : null;
        await Answer(message, await Act(words, named, waiting, person, stop), stop);
        await db.SaveChangesAsync(stop);
    }

    private async Task<string> Act(string[] words, EscalationRow? named, List<EscalationRow> waiting, string person, CancellationToken stop)
    {
        switch (words)
        {
            case ["TAKE", ..] when named is not null:
                return await take.Run(named.Id, person, stop) switch
                {
                    TakeEscalation.Outcome.Yours => $"{named.Ref} is yours. Open the link of the page, ring the patient, then close it with an outcome.",
                    TakeEscalation.Outcome.AlreadyTaken taken => $"{named.Ref}: {taken.By} has it.",
                    _ => $"{named.Ref} is not open.",
                };
            case ["PASS", ..] when named is not null:
                await pass.Run(named, person, stop);
                return $"{named.Ref}: noted that you passed it on.";
            default:
                var unknown = words is ["TAKE" or "PASS", var reference, ..] ? $"No report {(reference.Length <= 8 ? reference : "of that name")} is open. " : "";
                return unknown + (waiting.Count == 0 ? "Nothing is waiting to be taken." : $"Reply TAKE or PASS with one of: {string.Join(' ', waiting.Select(e => e.Ref))}");
        }
    }

    private Task Answer(MessageRow message, string text, CancellationToken stop) =>
        db.QueueOnce($"staff-reply:{message.Id}", OutgoingKind.PageText, message.To, message.From, text, time.GetCurrentInstant(), stop);
}
