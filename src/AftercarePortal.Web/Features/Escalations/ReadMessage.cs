using System.Text.Json;
using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Reads one kept message, answers the patient and opens, joins or raises the escalation. May run twice; acts once.</summary>
internal sealed class ReadMessage(PortalDb db, ContentLibrary content, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => MessageJobs.Read;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var id = Guid.Parse(subject);
        var message = await db.Messages.SingleAsync(m => m.Id == id, stop);
        if (await db.Readings.AnyAsync(r => r.MessageId == id, stop)) return;
        var clinic = await db.Clinics.SingleAsync(c => c.Id == message.ClinicId, stop);

        // decide and write: one turn, one save, and the open report held so that nobody closes it in between
        await using var all = await db.Database.BeginTransactionAsync(stop);
        var replies = 0;
        var adapter = new SmsAdapter((text, stop) =>
            db.QueueOnce($"reply:{message.Id}:{replies++}", OutgoingKind.SafetyReply, clinic.PatientNumber, message.From, text, now, stop));
        await adapter.Turn(message, new PatientBot(stop => Act(message, clinic, now, stop)), stop);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
    }

    private async Task<string?> Act(MessageRow message, ClinicRow clinic, Instant now, CancellationToken stop)
    {
        var keyword = StopWords.IsStop(message.Text) || StopWords.IsStart(message.Text);
        if (keyword)
            db.Add(new OptOutRow { ClinicId = clinic.Id, Number = message.From, MessageId = message.Id, Stopped = StopWords.IsStop(message.Text), At = now });

        var patients = await db.Patients.Where(p => p.Number == message.From).ToListAsync(stop);
        var patient = patients is [var one] ? one : null;                       // two on one phone: a person looks who it is (H7)
        var reading = content.Lexicon.ReadTogether(message.Text, await Earlier(message, stop), await ContextOf(patient, message, clinic, now, stop));
        if (keyword && message.MediaCount == 0) reading = reading with { Tier = Tier.Routine, Floors = [] };

        await db.Escalations.Where(e => e.OpenKey == message.From).ExecuteUpdateAsync(set => set.SetProperty(e => e.Ref, e => e.Ref), stop);
        var open = await db.Escalations.SingleOrDefaultAsync(e => e.OpenKey == message.From, stop);
        var escalation = await OpenOrJoin(open, reading, message, patient, now, stop);
        db.Add(new ReadingRow
        {
            ClinicId = clinic.Id, MessageId = message.Id, EscalationId = escalation?.Id, Tier = reading.Tier,
            Version = reading.Version.ToString(), Json = JsonSerializer.Serialize(reading), ReadAt = now,
        });
        if (StopWords.IsHelp(message.Text) && escalation is not null && reading.Tier is Tier.SameDay) return content.Texts.Fill("help", clinic);
        return keyword ? null : ReplyTo(reading, clinic);                       // the carrier itself confirms STOP and START
    }

    private async Task<EscalationRow?> OpenOrJoin(EscalationRow? open, Reading reading, MessageRow message, PatientRow? patient, Instant now, CancellationToken stop)
    {
        if (open is null && reading.Tier is Tier.Routine) return null;
        var raised = open is null || reading.Tier > open.Tier;
        if (open is null)
        {
            var id = Guid.CreateVersion7();
            open = new EscalationRow
            {
                Id = id, ClinicId = message.ClinicId, PatientId = patient?.Id, Number = message.From, Ref = Reference.Of(id),
                Tier = reading.Tier, OpenedAt = now, OpenKey = message.From,
            };
            db.Add(open);
            db.Note(open, EscalationEvent.Opened, now);
        }
        else
        {
            if (raised) open.Tier = reading.Tier;                               // only up
            db.Note(open, raised ? EscalationEvent.Raised : EscalationEvent.Joined, now);
        }

        if (await db.HasStopped(message.From, stop)) db.Note(open, EscalationEvent.PatientCannotBeTexted, now);
        await carryOut.After(open, new Happening.Reported(raised), now, stop);
        return open;
    }

    // What the same number sent in the two days before, since a person last closed its concern.
    private async Task<IReadOnlyList<EarlierText>> Earlier(MessageRow message, CancellationToken stop)
    {
        var closed = await db.Escalations.Where(e => e.ClinicId == message.ClinicId && e.Number == message.From && e.ClosedAt != null).MaxAsync(e => e.ClosedAt, stop);
        var from = message.ReceivedAt - Duration.FromHours(48);
        if (closed is { } at && at > from) from = at;
        var rows = await db.Messages.Where(m => m.ClinicId == message.ClinicId && m.From == message.From && m.ReceivedAt >= from && m.ReceivedAt <= message.ReceivedAt && m.Id != message.Id)
            .OrderByDescending(m => m.ReceivedAt).Take(50).ToListAsync(stop);
        return [.. rows.Where(m => !StopWords.IsStop(m.Text) && !StopWords.IsStart(m.Text)).Select(m => new EarlierText(m.Text, m.MediaCount, message.ReceivedAt - m.ReceivedAt))];
    }

    // No record, or two patients on one number: unknown, which the core counts as the first days after filler.
    private async Task<ReadingContext> ContextOf(PatientRow? patient, MessageRow message, ClinicRow clinic, Instant now, CancellationToken stop)
    {
        if (patient is null || await db.LatestTreatmentOf(patient.Id, stop) is not { } treatment) return new(null, [], message.MediaCount);
        var today = now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;
        return new(
            Math.Max(0, Period.DaysBetween(treatment.TreatedOn, today)),
            [.. treatment.Placements.Select(p => p.ProductClass).Distinct()],
            message.MediaCount);
    }

    private string ReplyTo(Reading reading, ClinicRow clinic)
    {
        var text = reading.Clues.Any(c => c.ConceptId == "self-harm") ? "reply-crisis" : reading.Tier switch
        {
            Tier.Emergency => "reply-emergency",
            Tier.Urgent => "reply-urgent",
            Tier.SameDay => "reply-same-day",
            _ => "reply-routine",
        };
        return content.Texts.Fill(text, clinic);
    }
}
