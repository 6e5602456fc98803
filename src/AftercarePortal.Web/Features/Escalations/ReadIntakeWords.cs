using System.Text.Json;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Words with a warning sign in a sent intake: a person looks, in an escalation of the intake's own. May run twice; acts once.</summary>
/// <remarks>
/// Nobody checked the number: nothing is texted to it, no patient is found by it, and no report of that number is joined. The page told the person whom to ring.
/// Anybody can send intakes. When many with a sign come at once, the next join the latest of these reports instead of paging for each: the pages of patients are not to wait behind them.
/// </remarks>
internal sealed class ReadIntakeWords(PortalDb db, ContentLibrary content, OpenOrJoin openOrJoin, IReachSender reach, TimeProvider time) : IJobHandler
{
    /// <summary>So many reports of intakes, opened within an hour and still open, have pages of their own (a design choice without a source).</summary>
    public const int MostApart = 5;

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
        var reading = content.ReadWords(message.Text);
        var (number, _, _, _) = await reach.Of(intake, stop);                      // staff may have put it right since

        // write: the open report is held, so that nobody closes it in between
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await db.HoldOpen(message.From, stop);
        if (await db.IsReadOrClosed(id, stop)) return;
        await db.ForgetUnread(id, stop);
        var open = await db.Escalations.SingleOrDefaultAsync(e => e.OpenKey == message.From, stop) ?? await WhereManyCome(now, stop);
        (open, _) = await openOrJoin.Run(open, message, reading, new(number, FromIntake: true), now, stop,
            newSigns: open is { TakenBy: not null, ConfirmRound: null } && open.OpenKey != message.From ? true : null);      // another person's: never the same as what was read of somebody else
        db.Add(new ReadingRow
        {
            ClinicId = message.ClinicId, MessageId = id, EscalationId = open.Id, Tier = reading.Tier, Version = reading.Version.ToString(), Json = JsonSerializer.Serialize(reading), ReadAt = now,
        });
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
    }

    // Null: they are few, and this one has a report of its own.
    private async Task<EscalationRow?> WhereManyCome(Instant now, CancellationToken stop)
    {
        var lately = now - Duration.FromHours(1);
        var open = await db.Escalations.Where(e => e.FromIntake && e.ClosedAt == null && e.OpenedAt > lately).OrderByDescending(e => e.OpenedAt).ThenByDescending(e => e.Id).Take(MostApart).ToListAsync(stop);
        if (open.Count < MostApart) return null;
        await db.HoldOpen(open[0].OpenKey, stop);
        return await db.Escalations.SingleOrDefaultAsync(e => e.Id == open[0].Id && e.ClosedAt == null, stop);
    }
}
