using AftercarePortal.Clinical.Replies;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>What went before in one number's conversation, and what one turn leaves behind for the next.</summary>
internal sealed class ConversationSoFar(PortalDb db, ContentLibrary content)
{
    /// <summary>Texts of one number within this time are read together.</summary>
    public static readonly Duration ReadTogether = Duration.FromHours(48);

    private static readonly Duration SameMinutes = Duration.FromMinutes(10);

    // Days after a treatment that was stopped before anything was placed (judgement, no source).
    private const int StoppedCountsFor = 14;

    public async Task<TurnContext> Of(MessageRow message, ReadingContext context, IReadOnlyList<EarlierText> earlier, CancellationToken stop)
    {
        var (now, book) = (message.WrittenAt, content.Replies);
        var asked = now - Duration.FromHours(book.CheckIn.WithinHours);
        var lately = now - Duration.FromMinutes(book.Loop.WithinMinutes);
        var photos = now - Duration.FromHours(book.Photo.NotAgainWithinHours);
        var pain = now - Duration.FromHours(48);
        var sent = db.Outgoing.Where(o => o.To == message.From);
        // When it went, not when it was put in line; one held back or refused asked nothing.
        var questions = sent.Where(o => o.Asks == OutgoingAsk.CheckIn && (o.State == OutgoingState.Accepted || o.State == OutgoingState.Unclear || o.State == OutgoingState.Calling) && o.FirstTriedAt <= now);
        var earlierAsked = asked - Duration.FromHours(book.CheckIn.MayRaiseHours);
        var answers = await sent.CountAsync(o => o.Kind == OutgoingKind.SafetyReply && o.MadeAt >= lately, stop);
        return new(
            [.. context.Products.Distinct()],
            message.RawForm is not MessageRow.FromReview && await questions.AnyAsync(o => o.FirstTriedAt >= asked, stop),
            await db.CheckIns.Where(c => c.Number == message.From && c.Pain != null && c.At >= pain && c.At <= now).OrderByDescending(c => c.At).ThenByDescending(c => c.Id).Select(c => c.Pain).FirstOrDefaultAsync(stop),
            answers,
            message.MediaCount > 0 || await db.Messages.AnyAsync(m => m.From == message.From && m.MediaCount > 0 && m.WrittenAt >= photos, stop),
            await sent.AnyAsync(o => o.Asks == OutgoingAsk.Photo && o.MadeAt >= photos, stop),
            earlier.Any(e => e.Before <= SameMinutes))
        {
            BringsPhoto = message.MediaCount > 0,
            WasAskedEarlier = await questions.AnyAsync(o => o.FirstTriedAt >= earlierAsked && o.FirstTriedAt < asked, stop),
            Reported = answers < book.Loop.SilentAfter ? ReportedSoFar.Nothing : await Reported(message.From, stop),      // asked for only where she may go unanswered
        };
    }

    private async Task<ReportedSoFar> Reported(string number, CancellationToken stop)
    {
        if (await db.Escalations.AsNoTracking().SingleOrDefaultAsync(e => e.OpenKey == number, stop) is not { } open) return ReportedSoFar.Nothing;
        return new(open.Tier, await db.SignsOf(open, stop));
    }

    /// <summary>What is known beside a text: what was placed within the time aftercare runs and how many days ago, of several treatments each with its own day. No record, or two patients on one number: unknown, which the core counts as the first days after filler.</summary>
    public async Task<ReadingContext> Around(PatientRow? patient, MessageRow message, ClinicRow clinic, Instant at, CancellationToken stop)
    {
        if (patient is null) return new(null, [], message.MediaCount);
        var day = at.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;
        var treatments = await db.RunningTreatmentsOf(patient.Id, day, stop);
        return ReadingContext.After(
            [.. treatments.SelectMany(t => t.Placements.Select(p => (p.ProductClass, Math.Max(0, Period.DaysBetween(t.TreatedOn, day))))).Distinct()], message.MediaCount);
    }

    /// <summary>Whether a text has to be read as of somebody treated in these days, too: somebody else than the patient may be meant, a record of this patient waits to be signed and what stands in it is not known yet, or a treatment was stopped lately, a needle having been in.</summary>
    public async Task<bool> IsUnsure(PatientRow? patient, MessageRow message, ClinicRow clinic, Reading reading, CancellationToken stop)
    {
        if (patient is null) return false;
        if (content.Replies.IsSomebodyElse(message.Text, reading) || await db.TreatmentDrafts.AnyAsync(d => d.PatientId == patient.Id, stop)) return true;
        var since = message.WrittenAt.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date.PlusDays(-StoppedCountsFor);
        return (await db.Treatments.Where(t => t.PatientId == patient.Id && t.Placements.Count == 0).Select(t => t.TreatedOn).ToListAsync(stop)).Exists(day => day >= since);
    }

    /// <summary>A text found late says how it was when it was written: what was written since outranks it.</summary>
    public async Task Keep(Turn turn, MessageRow message, PatientRow? patient, Instant now, CancellationToken stop)
    {
        if (turn.Code is { } code)
            db.Add(new CheckInRow { ClinicId = message.ClinicId, Number = message.From, MessageId = message.Id, Pain = code.Pain, Letter = code.Letter?.ToString(), At = message.WrittenAt });
        if (turn.SaysWrongNumber)
            db.Add(new OptOutRow { ClinicId = message.ClinicId, Number = message.From, MessageId = message.Id, Stopped = true, IsWrongNumber = true, At = message.WrittenAt });
        if (turn.SwitchTo is not { } language) return;
        // Of a number several have: what goes to it is for all of them.
        foreach (var one in patient is null ? await db.Patients.Where(p => p.Number == message.From).ToListAsync(stop) : [patient])
        {
            if (one.Language == language) continue;
            await db.KeepAsItWas(one, now, stop);
            one.Language = language;
            db.Add(new PatientChangeRow { PatientId = one.Id, Name = one.Name, Number = one.Number, AgreedToTextsAt = one.AgreedToTextsAt, BornOn = one.BornOn, Language = language, ChangedBy = "the patient, by text", ChangedAt = now });
        }
    }
}
