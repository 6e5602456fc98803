using System.Text.Json;
using AftercarePortal.Clinical.Replies;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Warning signs nobody had written before. Whoever has the report judged what had been written by then.</summary>
internal static class NewSigns
{
    extension(PortalDb db)
    {
        /// <summary>Whether a reading holds an urgent sign, or a worse one, that no earlier reading of this report holds.</summary>
        public async Task<bool> HoldsNewSigns(EscalationRow open, Reading reading, CancellationToken stop) =>
            new ReportedSoFar(open.Tier, await db.SignsOf(open, stop)).LacksASignOf(reading);

        /// <summary>Urgent signs, and worse ones, that earlier readings of this report hold.</summary>
        public async Task<IReadOnlySet<string>> SignsOf(EscalationRow open, CancellationToken stop)
        {
            var earlier = await db.Readings.AsNoTracking().Where(r => r.EscalationId == open.Id).Select(r => r.Json).ToListAsync(stop);
            return earlier.SelectMany(json => ReportedSoFar.SignsOf(JsonSerializer.Deserialize<Reading>(json)!)).ToHashSet(StringComparer.Ordinal);
        }
    }
}
