using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>What a report tells its patient is looked at right before it goes: while the carrier was away, or the line was long, it may have ceased to be so.</summary>
internal sealed class TellLook(PortalDb db) : ILastLook
{
    public async Task<IReadOnlyDictionary<Guid, LastLook>> At(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop)
    {
        var told = texts.Select(t => (t.Id, Tell: TellKey.Of(t.Key)!)).Where(t => t.Tell is not null).ToList();
        if (told.Count == 0) return new Dictionary<Guid, LastLook>();
        var ids = told.ConvertAll(t => t.Tell.Report);
        var reports = await db.Escalations.AsNoTracking().Where(e => ids.Contains(e.Id)).ToDictionaryAsync(e => e.Id, stop);
        return told.ToDictionary(t => t.Id, t => (LastLook)(IsSo(reports[t.Tell.Report], t.Tell) ? new LastLook.Go() : new LastLook.Never()));
    }

    // Closed, somebody had taken it: that it waits is never the last word.
    private static bool IsSo(EscalationRow report, TellKey tell) => tell.What is TellKey.Taken == (report.TakenBy is not null || report.ClosedAt is not null);
}
