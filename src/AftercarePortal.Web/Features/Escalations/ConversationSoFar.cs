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
    private static readonly Duration SameMinutes = Duration.FromMinutes(10);

    public async Task<TurnContext> Of(MessageRow message, ReadingContext context, IReadOnlyList<EarlierText> earlier, CancellationToken stop)
    {
        var (now, book) = (message.WrittenAt, content.Replies);
        var asked = now - Duration.FromHours(book.CheckIn.WithinHours);
        var lately = now - Duration.FromMinutes(book.Loop.WithinMinutes);
        var photos = now - Duration.FromHours(book.Photo.NotAgainWithinHours);
        var pain = now - Duration.FromHours(48);
        var sent = db.Outgoing.Where(o => o.To == message.From);
        return new(
            context.Products,
            await sent.AnyAsync(o => o.Asks == OutgoingAsk.CheckIn && o.MadeAt >= asked && o.MadeAt <= now, stop),
            await db.CheckIns.Where(c => c.Number == message.From && c.Pain != null && c.At >= pain && c.At <= now).OrderByDescending(c => c.At).ThenByDescending(c => c.Id).Select(c => c.Pain).FirstOrDefaultAsync(stop),
            await sent.CountAsync(o => o.Kind == OutgoingKind.SafetyReply && o.MadeAt >= lately, stop),
            message.MediaCount > 0 || await db.Messages.AnyAsync(m => m.From == message.From && m.MediaCount > 0 && m.WrittenAt >= photos, stop),
            await sent.AnyAsync(o => o.Asks == OutgoingAsk.Photo && o.MadeAt >= photos, stop),
            earlier.Any(e => e.Before <= SameMinutes)) { Reported = await Reported(message.From, stop) };
    }

    private async Task<ReportedSoFar> Reported(string number, CancellationToken stop)
    {
        if (await db.Escalations.AsNoTracking().SingleOrDefaultAsync(e => e.OpenKey == number, stop) is not { } open) return ReportedSoFar.Nothing;
        return new(open.Tier, await db.SignsOf(open, stop));
    }

    /// <summary>What is known beside a text: the day and the products. No record, or two patients on one number: unknown, which the core counts as the first days after filler.</summary>
    public async Task<ReadingContext> Around(PatientRow? patient, MessageRow message, ClinicRow clinic, Instant at, CancellationToken stop)
    {
        if (patient is null || await db.LatestTreatmentOf(patient.Id, stop) is not { } treatment) return new(null, [], message.MediaCount);
        var day = at.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;
        return new(Math.Max(0, Period.DaysBetween(treatment.TreatedOn, day)), [.. treatment.Placements.Select(p => p.ProductClass).Distinct()], message.MediaCount);
    }

    /// <summary>A text found late says how it was when it was written: what was written since outranks it.</summary>
    public void Keep(Turn turn, MessageRow message, PatientRow? patient, Instant now)
    {
        if (turn.Code is { } code)
            db.Add(new CheckInRow { ClinicId = message.ClinicId, Number = message.From, MessageId = message.Id, Pain = code.Pain, Letter = code.Letter?.ToString(), At = message.WrittenAt });
        if (turn.SaysWrongNumber)
            db.Add(new OptOutRow { ClinicId = message.ClinicId, Number = message.From, MessageId = message.Id, Stopped = true, At = message.WrittenAt });
        if (turn.SwitchTo is { } language && patient is not null && patient.Language != language)
        {
            patient.Language = language;
            db.Add(new PatientChangeRow { PatientId = patient.Id, Name = patient.Name, Number = patient.Number, AgreedToTextsAt = patient.AgreedToTextsAt, Language = language, ChangedBy = "the patient, by text", ChangedAt = now });
        }
    }
}
