using System.Text.Json;
using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Words with a warning sign in a sent intake: a person looks, in an escalation of the intake's own. May run twice; acts once.</summary>
/// <remarks>Nobody checked the number: nothing is texted to it, no patient is found by it, and no report of that number is joined. The page told the person whom to ring.</remarks>
internal sealed class ReadIntakeWords(PortalDb db, ContentLibrary content, CarryOutSteps carryOut, TimeProvider time) : IJobHandler
{
    public string Kind => MessageJobs.ReadIntake;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var id = Guid.Parse(subject);
        var message = await db.Messages.SingleAsync(m => m.Id == id, stop);
        var intakeId = MessageRow.IntakeOf(message.From);
        var intake = await db.Intakes.AsNoTracking().SingleAsync(i => i.Id == intakeId, stop);

        // decide
        var reading = content.Lexicon.Read(message.Text, new(null, [], 0));

        // write: the open report is held, so that nobody closes it in between
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await db.HoldOpen(message.From, stop);
        if (await db.IsReadOrClosed(id, stop)) return;
        await db.ForgetUnread(id, stop);
        var open = await db.Escalations.SingleOrDefaultAsync(e => e.OpenKey == message.From, stop);
        var raised = open is null || reading.Tier > open.Tier;
        var newSigns = !raised && open?.TakenBy is not null && await db.HoldsNewSigns(open, reading, stop);
        if (open is null)
        {
            var newId = Guid.CreateVersion7();
            open = new()
            {
                Id = newId, ClinicId = message.ClinicId, Number = intake.Number!, Ref = Reference.Of(newId), Tier = reading.Tier, OpenedAt = now, WrittenAt = message.WrittenAt, OpenKey = message.From, FromIntake = true,
            };
            db.Add(open);
            db.Note(open, EscalationEvent.Opened, now);
        }
        else
        {
            if (raised) open.Tier = reading.Tier;                               // only up
            db.Note(open, raised ? EscalationEvent.Raised : newSigns ? EscalationEvent.NewSigns : EscalationEvent.Joined, now);
        }

        await carryOut.After(open, new Happening.Reported(raised, newSigns), now, stop);
        db.Add(new ReadingRow
        {
            ClinicId = message.ClinicId, MessageId = id, EscalationId = open.Id, Tier = reading.Tier, Version = reading.Version.ToString(), Json = JsonSerializer.Serialize(reading), ReadAt = now,
        });
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
    }
}
