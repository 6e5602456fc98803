using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>A photo was given up: the report it belongs to says so in its history, once for all that were given up together.</summary>
internal sealed class PhotoNotFetched(PortalDb db, TimeProvider time) : IJobHandler
{
    /// <summary>How long the reading of its message is waited for, and how often it is looked for.</summary>
    private static readonly Duration ReadWithin = Duration.FromHours(1), LookEvery = Duration.FromMinutes(1);

    public string Kind => MessageJobs.PhotoNotFetched;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var message = await db.Messages.AsNoTracking().SingleAsync(m => m.Id == Guid.Parse(subject), stop);
        var reading = await db.Readings.AsNoTracking().SingleOrDefaultAsync(r => r.MessageId == message.Id, stop);
        if (reading is null && now - message.ReceivedAt < ReadWithin) db.Enqueue(Kind, subject, now + LookEvery);    // it is read yet
        else if (reading?.EscalationId is { } report && !await Noted(report, message.ReceivedAt, stop))
            db.Note(await db.Escalations.SingleAsync(e => e.Id == report, stop), EscalationEvent.PhotoNotFetched, now);
        await db.SaveChangesAsync(stop);
    }

    private Task<bool> Noted(Guid report, Instant since, CancellationToken stop) =>
        db.EscalationEvents.AnyAsync(e => e.EscalationId == report && e.What == EscalationEvent.PhotoNotFetched && e.At >= since, stop);
}
