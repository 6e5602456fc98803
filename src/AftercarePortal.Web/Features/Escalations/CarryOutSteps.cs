using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Asks the policy what comes next and puts it into the current unit of work: pages, timers, words to the patient.</summary>
internal sealed class CarryOutSteps(PortalDb db, ContentLibrary content, IOptions<CarrierOptions> carrier)
{
    /// <returns>Whom the report reaches after this.</returns>
    public async Task<Reach> After(EscalationRow escalation, Happening happening, Instant now, CancellationToken stop)
    {
        escalation.Turn++;
        var clinic = await db.Clinics.SingleAsync(c => c.Id == escalation.ClinicId, stop);
        var (onCall, numbers) = await db.OnCallAt(now, stop);
        var events = await EventsOf(escalation, stop);
        var state = StateOf(escalation, events, onCall) with { LookAgainAt = happening is Happening.Reported { Raised: true } ? await LookAgainAt(escalation, events, stop) : null };
        var steps = content.Policy.Next(state, happening, onCall, now);
        foreach (var step in steps)
        {
            // The reply to a report tells the patient itself that nobody was reached yet.
            if (step is NextStep.TellPatientNobodyYet && happening is Happening.Reported) continue;
            // Two pages at once are two rounds: the timer of the first is spent at once, that of the second runs.
            await Keep(step, escalation, clinic, numbers, await EventsOf(escalation, stop), now, stop);
        }

        if (steps.Any(step => step is NextStep.TellTaker)) return Reach.Taker;
        return escalation.TakenBy is null && PagingRound.LastReachedNobody(await EventsOf(escalation, stop)) ? Reach.Nobody : Reach.Somebody;
    }

    // What is only noted so far counts too, but not what was noted of another report in the same turn.
    private async Task<List<EscalationEventRow>> EventsOf(EscalationRow escalation, CancellationToken stop) =>
    [
        .. (await db.EscalationEvents.AsNoTracking().Where(e => e.EscalationId == escalation.Id).ToListAsync(stop))
            .Concat(db.ChangeTracker.Entries<EscalationEventRow>().Where(e => e.State == EntityState.Added && e.Entity.EscalationId == escalation.Id).Select(e => e.Entity))
            .InOrder(),
    ];

    private async Task<Instant?> LookAgainAt(EscalationRow escalation, List<EscalationEventRow> events, CancellationToken stop)
    {
        var timer = Timer.Subject(escalation.Id, PagingRound.Of(events));
        return escalation.TakenBy is null ? await db.Jobs.Where(j => j.Kind == EscalationJobs.AckDue && j.Subject == timer && j.Lane == 0 && j.DoneAt == null && j.ParkedAt == null).MinAsync(j => (Instant?)j.DueAt, stop) : null;
    }

    private static EscalationState StateOf(EscalationRow escalation, List<EscalationEventRow> events, OnCall onCall)
    {
        var round = PagingRound.Began(events);
        var taken = events.FindLastIndex(e => e.What is EscalationEvent.Taken);
        return new(
            escalation.Tier,
            // Once everyone was asked it does not go back to one at a time, raised or not.
            events.Skip(Math.Max(taken, 0)).Any(e => e.What is EscalationEvent.PagedEveryone)
                ? [.. onCall.InOrder]
                : [.. events.Skip(Math.Max(round, 0)).Where(e => e.What is EscalationEvent.Paged).Select(e => e.Person!).Distinct()],
            escalation.TakenBy,
            Reminders: taken < 0 ? 0 : events.Skip(taken).Count(e => e.What is EscalationEvent.Reminded),
            Closed: escalation.ClosedAt is not null);
    }

    private async Task Keep(NextStep step, EscalationRow escalation, ClinicRow clinic, IReadOnlyDictionary<string, string> numbers, List<EscalationEventRow> events, Instant now, CancellationToken stop)
    {
        var (round, outcome) = (PagingRound.Of(events) + 1, PagingRound.OutcomeOf(events));
        switch (step)
        {
            case NextStep.AskTaker ask:
                await Page(PageKey.Paged, $"{round}", round, ask.Person, ask.Voice, escalation, clinic, numbers, now, stop);
                db.Note(escalation, EscalationEvent.Paged, now, ask.Person);
                escalation.ConfirmRound = round;
                db.Enqueue(EscalationJobs.AckDue, Timer.Subject(escalation.Id, round), ask.ConfirmBy, lane: 0);
                // Asked for an outcome anew: this page began a round, so the timer of the one before is spent.
                db.Enqueue(EscalationJobs.OutcomeDue, Timer.Subject(escalation.Id, outcome + 1), ask.OutcomeDueAt, lane: 1);
                break;
            case NextStep.TakeBack:
                db.Note(escalation, EscalationEvent.NotConfirmed, now, escalation.TakenBy);
                (escalation.TakenBy, escalation.TakenAt, escalation.ConfirmRound) = (null, null, null);
                break;
            case NextStep.Page page:
                await Page(PageKey.Paged, $"{round}", round, page.Person, page.Voice, escalation, clinic, numbers, now, stop);
                db.Note(escalation, EscalationEvent.Paged, now, page.Person);
                db.Enqueue(EscalationJobs.AckDue, Timer.Subject(escalation.Id, round), page.LookAgainAt, lane: 0);
                break;
            case NextStep.TellTaker taker:
                await Page(PageKey.MoreWritten, $"{now.ToUnixTimeMilliseconds()}", round, taker.Person, voice: false, escalation, clinic, numbers, now, stop);
                break;
            case NextStep.PageEveryone everyone:
                foreach (var person in everyone.People)
                    await Page(PageKey.Paged, $"{round}", round, person, voice: true, escalation, clinic, numbers, now, stop, everyone: true);
                db.Note(escalation, everyone.People.Count == 0 ? EscalationEvent.NobodyOnCall : EscalationEvent.PagedEveryone, now);
                db.Enqueue(EscalationJobs.AckDue, Timer.Subject(escalation.Id, round), everyone.LookAgainAt, lane: 0);
                break;
            case NextStep.TellPatientTaken taken:
                await Tell(TellKey.Taken, escalation, clinic, round, now, stop);
                if (await db.HasStopped(escalation.Number, stop)) await AskToRing(escalation, $"{round}", now, stop);
                db.Enqueue(EscalationJobs.OutcomeDue, Timer.Subject(escalation.Id, outcome), taken.OutcomeDueAt, lane: 1);
                break;
            case NextStep.TellPatientNobodyYet:
                await Tell(TellKey.NobodyYet, escalation, clinic, round, now, stop);
                break;
            case NextStep.TellPatientReopened:
                await Tell(TellKey.Reopened, escalation, clinic, round, now, stop);
                break;
            case NextStep.Remind remind:
                await Page(PageKey.Reminded, $"{now.ToUnixTimeMilliseconds()}", round, remind.Person, voice: false, escalation, clinic, numbers, now, stop);
                db.Note(escalation, EscalationEvent.Reminded, now, remind.Person);
                db.Enqueue(EscalationJobs.OutcomeDue, Timer.Subject(escalation.Id, outcome + 1), remind.LookAgainAt, lane: 1);
                break;
            case NextStep.Reopen:
                db.Note(escalation, EscalationEvent.Reopened, now, escalation.TakenBy);
                (escalation.TakenBy, escalation.TakenAt, escalation.ConfirmRound) = (null, null, null);
                break;
        }
    }

    /// <summary>Tells whoever has the report that texts do not reach the patient.</summary>
    /// <param name="about">What did not arrive: once for each.</param>
    public async Task AskToRing(EscalationRow escalation, string about, Instant now, CancellationToken stop)
    {
        if (escalation.TakenBy is not { } taker || !(await db.OnCallAt(now, stop)).Numbers.TryGetValue(taker, out var number)) return;
        var clinic = await db.Clinics.SingleAsync(c => c.Id == escalation.ClinicId, stop);
        await db.QueueOnce(new PageKey(PageKey.ToRing, escalation.Id, about, taker, PageKey.ByText).ToString(), OutgoingKind.PageText, clinic.PageNumber, number, content.Texts.FillPage("page-ring", clinic, escalation.Ref, LinkOf(escalation)), now, stop, report: escalation.Id);
    }

    private string LinkOf(EscalationRow escalation) => new Uri(new Uri(carrier.Value.PublicUrl), $"/Escalations/{escalation.Id}").ToString();

    private async Task Page(string what, string about, int round, string person, bool voice, EscalationRow escalation, ClinicRow clinic, IReadOnlyDictionary<string, string> numbers, Instant now, CancellationToken stop, bool everyone = false)
    {
        if (!numbers.TryGetValue(person, out var number)) return;      // neither staff nor on the rota any more
        await db.QueueOnce(Key(PageKey.ByText), OutgoingKind.PageText, clinic.PageNumber, number, content.Texts.FillPage(escalation.FromIntake ? "page-intake" : "page-text", clinic, escalation.Ref, LinkOf(escalation)), now, stop, report: escalation.Id);
        if (!voice) return;
        var action = new Uri(new Uri(carrier.Value.PublicUrl), $"/carrier/voice/ack?e={escalation.Id}&r={round}");
        var words = content.Texts.FillPage(escalation.FromIntake ? "page-intake-voice" : "page-voice", clinic, string.Join(' ', escalation.Ref.ToCharArray()), "");
        await db.QueueOnce(
            Key(PageKey.ByCall), OutgoingKind.PageCall, clinic.PageNumber, number,
            VoicePage.Of(action, words, everyone ? "Nothing was pressed. Everyone has been called." : "Nothing was pressed. The next person will be called."),
            now, stop, report: escalation.Id);

        string Key(string way) => new PageKey(what, escalation.Id, about, person, way).ToString();
    }

    // Whether the patient heard it is noted when the carrier says so, not here.
    private Task Tell(string text, EscalationRow escalation, ClinicRow clinic, int round, Instant now, CancellationToken stop) =>
        escalation.FromIntake
            ? Task.CompletedTask                                               // nobody checked the number
            : db.QueueOnce(new TellKey(escalation.Id, round, text).ToString(), OutgoingKind.SafetyReply, clinic.PatientNumber, escalation.Number, content.Texts.In(escalation.Language).Fill(text, clinic), now, stop, report: escalation.Id);
}
