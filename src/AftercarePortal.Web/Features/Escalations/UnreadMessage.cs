using System.Text.Json;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Reading a message was given up: its words open or join an urgent report as they are, and somebody is paged. May run twice; acts once.</summary>
/// <remarks>Nothing that reads words is asked here: it may be what failed. Once it works again and the report is still open, the message is read after all.</remarks>
internal sealed class UnreadMessage(PortalDb db, ContentLibrary content, OpenOrJoin openOrJoin, IReachSender reach, TimeProvider time) : IJobHandler
{
    /// <summary>Stands where the lexicon's version stands: no lexicon read it.</summary>
    public const string Version = "unread";

    public string Kind => EscalationJobs.Unread;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var id = Guid.Parse(subject);
        if (await db.Readings.AnyAsync(r => r.MessageId == id, stop)) return;
        var message = await db.Messages.SingleAsync(m => m.Id == id, stop);
        var clinic = await db.Clinics.SingleAsync(c => c.Id == message.ClinicId, stop);
        var fromIntake = message.RawForm is MessageRow.FromIntake;

        // write: the open report is held, so that nobody closes it in between
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await db.HoldOpen(message.From, stop);
        var open = await db.Escalations.SingleOrDefaultAsync(e => e.OpenKey == message.From, stop);
        // It may say anything, so whoever has the report is asked as for a sign not written before.
        var reading = new Reading(content.Lexicon.Version, Tier.Urgent, [], ["could not be read"]);
        (open, var reach) = await openOrJoin.Run(open, message, reading, await SenderOf(message, fromIntake, stop), now, stop, newSigns: true);
        db.Add(new ReadingRow
        {
            ClinicId = message.ClinicId, MessageId = id, EscalationId = open.Id, Tier = reading.Tier, Version = Version, Json = JsonSerializer.Serialize(reading), ReadAt = now,
        });
        if (!fromIntake && !StopWords.IsStop(message.Text) && !StopWords.IsStart(message.Text))
            await db.QueueOnce(
                $"reply:{message.Id}:unread", OutgoingKind.SafetyReply, clinic.PatientNumber, message.From,
                content.Texts.In(open.Language).Fill(reach is Reach.Nobody ? "reply-urgent-nobody" : "reply-urgent", clinic), now, stop);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
    }

    private async Task<OpenOrJoin.Sender> SenderOf(MessageRow message, bool fromIntake, CancellationToken stop)
    {
        if (fromIntake)
        {
            var intakeId = MessageRow.IntakeOf(message.From);
            return new((await reach.Of(await db.Intakes.AsNoTracking().SingleAsync(i => i.Id == intakeId, stop), stop)).Number, FromIntake: true);
        }

        return await db.Writer(message, stop) is { } patient ? new(message.From, patient.Id, patient.Language) : new(message.From);
    }
}

/// <summary>A reading that stands for a message nothing could read.</summary>
internal static class UnreadReading
{
    /// <summary>Kinds of the jobs that may hold a patient's words; subject of each is the message's id.</summary>
    public static readonly IReadOnlyList<string> OfWords = [MessageJobs.Read, MessageJobs.ReadIntake, MessageJobs.StaffReply];

    extension(PortalDb db)
    {
        /// <summary>Whether there is nothing left to read: it was read, or a person closed the report its unread words opened.</summary>
        public Task<bool> IsReadOrClosed(Guid message, CancellationToken stop) =>
            db.Readings.AnyAsync(r => r.MessageId == message && (r.Version != UnreadMessage.Version || db.Set<EscalationRow>().Any(e => e.Id == r.EscalationId && e.ClosedAt != null)), stop);

        /// <summary>Puts into the current unit of work that a message is given to a person unread; once while that waits or is done.</summary>
        /// <param name="kind">Of the job that was given up.</param>
        /// <param name="message">Its subject.</param>
        /// <returns>False: it was to read nothing of a patient's, it is so already, or it was read.</returns>
        public async Task<bool> GiveUnread(string kind, string message, Instant now, CancellationToken stop)
        {
            if (!OfWords.Contains(kind) || !Guid.TryParse(message, out var id)) return false;
            if (await db.Messages.AsNoTracking().SingleOrDefaultAsync(m => m.Id == id, stop) is not { } written || await db.Readings.AnyAsync(r => r.MessageId == id, stop)) return false;
            // To the page number staff write, and a patient may.
            if (kind is MessageJobs.StaffReply && !await db.Patients.AnyAsync(p => p.Number == written.From, stop) && await db.WhoAnswersFrom(written.From, null, now, stop) is not null) return false;
            if (await db.Jobs.AnyAsync(j => j.Kind == EscalationJobs.Unread && j.Subject == message && j.DoneAt == null && j.ParkedAt == null, stop)) return false;
            db.Enqueue(EscalationJobs.Unread, message, now, lane: 0);
            return true;
        }

        /// <summary>What stood for the reading gives way to the real one, in the same unit of work.</summary>
        public Task ForgetUnread(Guid message, CancellationToken stop) =>
            db.Readings.Where(r => r.MessageId == message && r.Version == UnreadMessage.Version).ExecuteDeleteAsync(stop);
    }
}
