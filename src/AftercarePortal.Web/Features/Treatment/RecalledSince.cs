using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>A record signed or put right after a recall may name its lot: whom no recall of that lot lists.</summary>
internal static class RecalledSince
{
    extension(PortalDb db)
    {
        /// <summary>Patients whose records name a recalled lot and whom no recall of it lists, by the lot's latest recall; lots with nobody are left out.</summary>
        /// <param name="only">Key of the one lot that is asked about; null: every recalled lot.</param>
        public async Task<IReadOnlyList<(RecallRow Recall, IReadOnlyList<LotPatient> Patients)>> NobodyListed(string? only, CancellationToken stop)
        {
            var recalls = (await db.Recalls.AsNoTracking().Include(r => r.Notices).ToListAsync(stop)).GroupBy(r => LotKey.Of(r.Lot)).Where(lot => only is null || lot.Key == only);
            var found = new List<(RecallRow, IReadOnlyList<LotPatient>)>();
            foreach (var lot in recalls)
            {
                var listed = lot.SelectMany(r => r.Notices).Select(n => n.PatientId).ToHashSet();
                List<LotPatient> missing = [.. (await db.PatientsOfLot(lot.First().Lot, stop)).Where(p => !listed.Contains(p.Id))];
                if (missing.Count > 0) found.Add((lot.MaxBy(r => r.ApprovedAt)!, missing));
            }

            return found;
        }
    }
}
