using System.Text.Json;
using AftercarePortal.Clinical.Replies;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Reads one kept message, answers the patient and opens, joins or raises the escalation. May run twice; acts once.</summary>
internal sealed class ReadMessage(PortalDb db, ContentLibrary content, OpenOrJoin openOrJoin, ConversationSoFar conversation, TimeProvider time) : IJobHandler
{
    public string Kind => MessageJobs.Read;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var id = Guid.Parse(subject);
        var message = await db.Messages.SingleAsync(m => m.Id == id, stop);
        var clinic = await db.Clinics.SingleAsync(c => c.Id == message.ClinicId, stop);

        // decide and write: one turn, one save, and the open report held so that nobody closes it in between
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await db.HoldOpen(message.From, stop);
        if (await db.IsReadOrClosed(id, stop)) return;
        await db.ForgetUnread(id, stop);
        var replies = 0;
        var photo = Texts.Languages.Select(l => content.Texts.In(l).Fill(content.Replies.Photo.TextId, clinic)).ToHashSet();
        var adapter = new SmsAdapter((text, stop) =>
            db.QueueOnce($"reply:{message.Id}:{replies++}", OutgoingKind.SafetyReply, clinic.PatientNumber, message.From, text, now, stop, asks: photo.Contains(text) ? OutgoingAsk.Photo : null));
        await adapter.Turn(message, new PatientBot(stop => Act(message, clinic, now, stop)), stop);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
    }

    private async Task<IReadOnlyList<string>> Act(MessageRow message, ClinicRow clinic, Instant now, CancellationToken stop)
    {
        var keyword = StopWords.IsStop(message.Text) || StopWords.IsStart(message.Text);
        var patient = await db.Writer(message, stop);
        var context = await conversation.Around(patient, message, clinic, message.WrittenAt, stop);
        var earlier = await Earlier(message, stop);
        var reading = content.Lexicon.ReadTogether(message.Text, earlier, context);
        if (await conversation.IsUnsure(patient, message, clinic, reading, stop) && content.Lexicon.ReadTogether(message.Text, earlier, new(null, [], message.MediaCount)) is var fresh && fresh.Tier > reading.Tier)
            reading = fresh with { Floors = [.. fresh.Floors, "read as of somebody treated in these days: it may be another person's, a record waits to be signed, or a treatment was stopped"] };
        if (keyword && message.MediaCount == 0) reading = reading with { Tier = Tier.Routine, Floors = [] };
        if (!keyword && await WithWhatCameLater(message, patient, clinic, stop) is { } together && together > reading.Tier) reading = reading with { Tier = together, Floors = [.. reading.Floors, "read together with what was written after it"] };
        var turn = keyword ? null : content.Replies.Take(message.Text, reading, content.Lexicon.Read(message.Text, context), await conversation.Of(message, context, earlier, stop));
        if (turn is not null) reading = reading with { Tier = turn.Tier, Floors = [.. reading.Floors, .. turn.Reasons] };

        var open = await db.Escalations.SingleOrDefaultAsync(e => e.OpenKey == message.From, stop);
        var language = turn?.SwitchTo ?? content.Replies.LanguageOf(message.Text) ?? open?.Language ?? patient?.Language ?? Texts.DefaultLanguage;
        open?.Language = language;
        var (escalation, reach) = open is null && reading.Tier is Tier.Routine ? (null, Reach.Somebody) : await openOrJoin.Run(open, message, reading, new(message.From, patient?.Id, language), now, stop);
        db.Add(new ReadingRow
        {
            ClinicId = clinic.Id, MessageId = message.Id, EscalationId = escalation?.Id, Tier = reading.Tier,
            Version = reading.Version.ToString(), Json = JsonSerializer.Serialize(reading), ReadAt = now,
        });
        if (turn is null) return [];                                            // the carrier itself confirms STOP and START
        // On the clinic's screen she is there: nothing is answered by text to what is no sign, and it is no word to this number.
        if (message.RawForm is MessageRow.FromReview && reading.Tier < Tier.Urgent) return [];
        if (message.RawForm is not MessageRow.FromReview) await conversation.Keep(turn, message, patient, now, stop);
        var texts = content.Texts.In(language);
        if (StopWords.IsHelp(message.Text) && reading.Tier is Tier.SameDay) return [texts.Fill("help", clinic)];
        return [.. TextsOf(turn, reading, reach).Select(text => texts.Fill(text, clinic))];
    }

    // Found late: the newest text was read without it, so it is read once more with it. The tier of that; null: it is the newest, or adds nothing.
    private async Task<Tier?> WithWhatCameLater(MessageRow message, PatientRow? patient, ClinicRow clinic, CancellationToken stop)
    {
        var newest = await db.Messages.AsNoTracking().Where(m => m.ClinicId == message.ClinicId && m.From == message.From && m.WrittenAt > message.WrittenAt && m.WrittenAt <= message.WrittenAt + ConversationSoFar.ReadTogether)
            .Join(db.Readings, m => m.Id, r => r.MessageId, (m, r) => m).OrderByDescending(m => m.WrittenAt).FirstOrDefaultAsync(stop);
        if (newest is null || StopWords.IsStop(newest.Text) || StopWords.IsStart(newest.Text)) return null;
        var context = await conversation.Around(patient, newest, clinic, newest.WrittenAt, stop);
        // By the lexicon both times: a check-in answer it cannot understand is no worse for a second one.
        var without = content.Lexicon.ReadTogether(newest.Text, await Earlier(newest, stop, without: message.Id), context).Tier;
        return content.Lexicon.ReadTogether(newest.Text, await Earlier(newest, stop), context).Tier is var tier && tier > without ? tier : null;
    }

    // What the same number sent in the two days before, since a person last closed its concern.
    private async Task<IReadOnlyList<EarlierText>> Earlier(MessageRow message, CancellationToken stop, Guid? without = null)
    {
        var closed = await db.Escalations.Where(e => e.ClinicId == message.ClinicId && e.Number == message.From && !e.FromIntake && e.ClosedAt != null).MaxAsync(e => e.ClosedAt, stop);
        var from = message.WrittenAt - ConversationSoFar.ReadTogether;
        if (closed is { } at && at > from) from = at;
        var rows = await db.Messages.Where(m => m.ClinicId == message.ClinicId && m.From == message.From && m.WrittenAt >= from && m.WrittenAt <= message.WrittenAt && m.Id != message.Id && m.Id != without)
            .OrderByDescending(m => m.WrittenAt).Take(50).ToListAsync(stop);
        return [.. rows.Where(m => !StopWords.IsStop(m.Text) && !StopWords.IsStart(m.Text) && (m.MediaCount > 0 || !content.Replies.IsSwitch(m.Text))).Select(m => new EarlierText(m.Text, m.MediaCount, message.WrittenAt - m.WrittenAt))];
    }

    private const string SelfHarm = "self-harm";

    // A sign is answered by its tier first, and by what is so: that somebody is being paged, or that nobody could be reached yet and which number
    // comes first. What else there is to say follows. A wrong number is told no more than that.
    private static IEnumerable<string> TextsOf(Turn turn, Reading reading, Reach reach)
    {
        if (turn.IsSilent) return [];
        if (turn.SaysWrongNumber && reading.Tier is Tier.SameDay) return ["wrong-number"];
        // Somebody in despair hears that first said for it; what else is an emergency is answered beside it, and before it.
        var despair = reading.Clues.Any(c => c.ConceptId == SelfHarm);
        var alone = despair && !reading.Clues.Any(c => c.ConceptId != SelfHarm && c.Tier is Tier.Emergency);
        var first = alone ? "reply-crisis" : reading.Tier switch
        {
            Tier.Emergency => "reply-emergency",
            Tier.Urgent => "reply-urgent",
            Tier.SameDay => "reply-same-day",
            _ => "reply-routine",
        };
        var nobody = reach is Reach.Nobody ? "-nobody" : "";
        first += first is "reply-routine" ? "" : reach is Reach.Taker && first is "reply-emergency" ? "-told" : nobody;
        IReadOnlyList<string> besides = turn.SaysWrongNumber ? ["wrong-number", .. turn.Answers] : turn.Answers;
        if (despair && !alone) return [first, "reply-crisis" + nobody, .. besides];
        return first is "reply-routine" && turn.Answers.Count > 0 ? turn.Answers : [first, .. besides];
    }
}
