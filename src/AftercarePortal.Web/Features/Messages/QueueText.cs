using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Adds a text and the job that sends it to the current unit of work.</summary>
internal static class QueueText
{
    /// <summary>Nothing happens when a text with this key exists already.</summary>
    /// <param name="sendAt">Not before; null: now.</param>
    /// <param name="report">Id of the report it is about; null: another matter.</param>
    public static async Task QueueOnce(this PortalDb db, string key, OutgoingKind kind, string from, string to, string text, Instant now, CancellationToken stop, Instant? sendAt = null, OutgoingAsk? asks = null, Guid? report = null)
    {
        if (db.ChangeTracker.Entries<OutgoingRow>().Any(e => e.Entity.Key == key)
            || await db.Outgoing.AnyAsync(o => o.Key == key, stop)) return;
        db.Queue(key, kind, from, to, text, now, sendAt, asks, report);
    }

    /// <summary>For whoever has looked: a text with this key that exists already makes the save fail.</summary>
    /// <inheritdoc cref="QueueOnce" />
    public static void Queue(this PortalDb db, string key, OutgoingKind kind, string from, string to, string text, Instant now, Instant? sendAt = null, OutgoingAsk? asks = null, Guid? report = null)
    {
        var outgoing = new OutgoingRow { ClinicId = db.ClinicId, Key = key, Kind = kind, From = from, To = to, Text = text, MadeAt = now, Asks = asks, ReportId = report };
        db.Add(outgoing);
        db.Enqueue(MessageJobs.Send, outgoing.Id.ToString(), sendAt ?? now, lane: kind.Lane);
    }
}
