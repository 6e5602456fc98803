using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>
/// One text of a staff member: TAKE or PASS, with or without the reference. Anything else gets the list of open references, and proves nothing: a phone may have
/// answered by itself. A number that is not of staff is read like a patient's text, and so are other words of somebody who is a patient, too.
/// </summary>
internal sealed class StaffReply(PortalDb db, TakeEscalation take, PassEscalation pass, ProveContact prove, StaffStop stopped, TimeProvider time) : IJobHandler
{
    /// <summary>Answers to other words than TAKE, PASS and START, to one number within <see cref="Lately"/>: a phone that answers by itself would go on for ever.</summary>
    private const int MostAnswers = 5;
    private static readonly Duration Lately = Duration.FromMinutes(30);

    /// <summary>How far two machines' clocks may be apart: one noted when it asked, another when the answer came. A machine further from the database's than half of it is warned of.</summary>
    public static readonly Duration ClocksApart = Duration.FromSeconds(5);

    public string Kind => MessageJobs.StaffReply;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var messageId = Guid.Parse(subject);
        var message = await db.Messages.AsNoTracking().SingleAsync(m => m.Id == messageId, stop);
        if (await db.Outgoing.AnyAsync(o => o.Key == AnswerTo(message), stop)) return;       // done and answered; only the job's end was lost
        var words = Words(message.Text);
        var isPatient = await db.Patients.AnyAsync(p => p.Number == message.From, stop);
        var named = words is ["TAKE" or "PASS", var reference, ..] ? await db.Escalations.Where(e => e.ClosedAt == null && e.Ref == reference).Select(e => (Guid?)e.Id).FirstOrDefaultAsync(stop) : null;
        var person = await db.WhoAnswersFrom(message.From, named, now, stop);
        // "Pass out when I stand": of a patient only the bare word, or one that names a report.
        var acts = words is ["TAKE" or "PASS"] || (words is ["TAKE" or "PASS", ..] && (named is not null || !isPatient)) || StopWords.IsStart(message.Text);
        var asPatient = isPatient && !acts && !StopWords.IsStop(message.Text);
        if (person is null || asPatient)
        {
            // It acts on nothing, but it may be a patient who took the wrong number.
            db.NoteStopOrStart(message);
            if (!await db.Photos.AnyAsync(p => p.MessageId == messageId, stop)) db.AddPhotos(message);
            db.Enqueue(MessageJobs.Read, subject, now, lane: 1);
        }
        else if (StopWords.IsStop(message.Text))
        {
            await stopped.Run(person, message.From, now, stop);                  // no answer: the carrier would refuse it
        }
        else if (acts || await db.Outgoing.CountAsync(o => o.To == message.From && o.Key.StartsWith("staff-reply:") && o.MadeAt > now - Lately, stop) < MostAnswers)
        {
            var test = acts && await prove.Run(person, message.From, ContactWay.Text, now, stop);
            await Answer(message, await Act(message, words, person, test, stop), stop);
        }

        await db.SaveChangesAsync(stop);
    }

    // A phone makes a full stop of two spaces, and quotation marks of its own.
    private static string[] Words(string text) => [.. text.ToUpperInvariant().Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries).Select(w => w.Trim('.', ',', '!', '?', ':', ';', '"', '\'', '(', ')', '“', '”', '‘', '’')).Where(w => w.Length > 0)];

    private async Task<string> Act(MessageRow message, string[] words, string person, bool tookTest, CancellationToken stop)
    {
        var open = await db.Escalations.Where(e => e.ClosedAt == null).ToListAsync(stop);
        var waiting = open.Where(e => e.TakenBy is null || (e.TakenBy == person && e.ConfirmRound is not null)).ToList();
        // PASS alone, when nothing waits, gives back the one report they have; one written before they took it does not.
        var held = words is ["PASS"] && waiting.Count == 0 ? open.Where(e => e.TakenBy == person && e.TakenAt < message.WrittenAt).ToList() : waiting;
        var named = words is [_, var reference, ..] ? open.FirstOrDefault(e => e.Ref == reference) : held is [var only] ? only : null;
        switch (words)
        {
            case ["TAKE" or "PASS", ..] when named is not null && await IsOlderThanTheAsking(named, person, message, stop):
                return $"{named.Ref}: there is something new since your text. Open the link of the last page, then text {words[0]} {named.Ref} again.";
            case ["TAKE", ..] when named is not null:
                return await take.Run(named.Id, person, named.ConfirmRound ?? 0, stop) switch
                {
                    TakeEscalation.Outcome.AskedSince => $"{named.Ref}: there is something new since your text. Open the link of the last page, then text TAKE {named.Ref} again.",
                    TakeEscalation.Outcome.Yours => $"{named.Ref} is yours. Open the link of the page, ring the patient, then close it with an outcome.",
                    TakeEscalation.Outcome.AlreadyTaken taken => $"{named.Ref}: {(await db.NamesOfStaff(stop)).Of(taken.By)} has it.",
                    _ => $"{named.Ref} is not open.",
                };
            case ["PASS", ..] when named is not null:
                await pass.Run(named, person, stop);
                return $"{named.Ref}: noted that you passed it on.";
            default:
                var unknown = words is ["TAKE" or "PASS", var other, ..] && !tookTest ? $"No report {(other.Length <= 8 ? other : "of that name")} is open. " : "";
                var test = tookTest ? "Test page taken: pages by text reach you. "
                    : await db.TestPages.AnyAsync(t => t.Person == person && t.Number == message.From && t.TakenAt == null, stop) ? "A test page waits for you: reply TAKE. " : "";
                return test + unknown + (waiting.Count == 0 ? "Nothing is waiting to be taken." : $"Reply TAKE or PASS with one of: {string.Join(' ', waiting.Select(e => e.Ref))}");
        }
    }

    // A text may come late, found in the carrier's list, or be acted on again after a crash: it answers only what had been asked when it was written.
    private async Task<bool> IsOlderThanTheAsking(EscalationRow named, string person, MessageRow message, CancellationToken stop)
    {
        var waits = named.ClosedAt is null && (named.TakenBy is null || (named.TakenBy == person && named.ConfirmRound is not null));
        var apart = named.TakenBy is null ? ClocksApart : Duration.Zero;        // nobody reads and confirms a new sign within the seconds clocks are apart
        return waits && message.WrittenAt + apart < PagingRound.AskedAt(await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == named.Id).ToListAsync(stop), named.TakenBy is null ? null : named.ConfirmRound, person);
    }

    private static string AnswerTo(MessageRow message) => $"staff-reply:{message.Id}";

    private Task Answer(MessageRow message, string text, CancellationToken stop) =>
        db.QueueOnce(AnswerTo(message), OutgoingKind.PageText, message.To, message.From, text, time.GetCurrentInstant(), stop);
}
