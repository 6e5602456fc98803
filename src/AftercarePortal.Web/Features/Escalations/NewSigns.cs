using System.Text.Json;
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
        public async Task<bool> HoldsNewSigns(EscalationRow open, Reading reading, CancellationToken stop)
        {
            var earlier = await db.Readings.AsNoTracking().Where(r => r.EscalationId == open.Id).Select(r => r.Json).ToListAsync(stop);
            return Signs(reading).Except(earlier.SelectMany(json => Signs(JsonSerializer.Deserialize<Reading>(json)!))).Any();
        }
    }

    private static IEnumerable<string> Signs(Reading reading) => reading.Clues.Where(c => c.Tier >= Tier.Urgent).Select(c => c.ConceptId);
}
