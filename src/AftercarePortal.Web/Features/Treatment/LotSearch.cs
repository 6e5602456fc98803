using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>One patient who got a lot.</summary>
/// <param name="Placements">Every placement of it, latest day first.</param>
internal sealed record LotPatient(Guid Id, string Name, string Number, IReadOnlyList<LotPlacement> Placements);

/// <summary>One placement of a lot, as addenda put it right.</summary>
internal sealed record LotPlacement(Guid TreatmentId, LocalDate TreatedOn, Region Region, Side Side, string Product, string Lot, string Amount);

/// <summary>Finds everybody who got a lot.</summary>
internal static class LotSearch
{
    extension(PortalDb db)
    {
        /// <summary>The clinic's patients with a placement of this lot in any spelling, by name. Records that do not hold are left out; a lot put right by an addendum is found, the wrong one is not.</summary>
        public async Task<IReadOnlyList<LotPatient>> PatientsOfLot(string lot, CancellationToken stop)
        {
            var key = LotKey.Of(lot);
            var changed = await ChangedWith(db, key, stop);
            var placements = await db.Placements.AsNoTracking().Where(p => p.LotKey == key && !changed.Contains(p.TreatmentId)).ToListAsync(stop);
            // Read by the lot, not by a list of ids, which may be long.
            var of = await (
                from treatment in db.Treatments.AsNoTracking()
                where db.Set<PlacementRow>().Any(p => p.TreatmentId == treatment.Id && p.LotKey == key) || changed.Contains(treatment.Id)
                join patient in db.Patients.AsNoTracking() on treatment.PatientId equals patient.Id
                select new { treatment.Id, treatment.TreatedOn, patient }).ToDictionaryAsync(t => t.Id, stop);
            var right = (await db.WholeRecords().Where(t => changed.Contains(t.Id)).ToListAsync(stop)).Where(t => t.DoesHold).Select(t => t.AsPutRight());
            return
            [
                .. placements.Select(p => (Placement: p, of[p.TreatmentId].TreatedOn)).Concat(right.SelectMany(t => t.Placements.Where(p => p.LotKey == key).Select(p => (Placement: p, t.TreatedOn))))
                    .GroupBy(p => of[p.Placement.TreatmentId].patient.Id).Select(g => of[g.First().Placement.TreatmentId].patient is var patient ? new LotPatient(g.Key, patient.Name, patient.Number,
                    [
                        .. g.OrderByDescending(p => p.TreatedOn).ThenBy(p => p.Placement.Ordinal)
                            .Select(p => new LotPlacement(p.Placement.TreatmentId, p.TreatedOn, p.Placement.Region, p.Placement.Side, p.Placement.ProductName, p.Placement.Lot, p.Placement.Amount)),
                    ]) : null!).OrderBy(p => p.Name, StringComparer.CurrentCultureIgnoreCase),
            ];
        }

        /// <summary>The recalls approved here for any of these lots, the latest of each.</summary>
        public async Task<IReadOnlyList<RecallRow>> RecallsOf(IEnumerable<string> lots, CancellationToken stop)
        {
            var keys = lots.Select(LotKey.Of).ToHashSet();
            if (keys.Count == 0) return [];
            return [.. (await db.Recalls.AsNoTracking().ToListAsync(stop)).Where(r => keys.Contains(LotKey.Of(r.Lot))).OrderByDescending(r => r.ApprovedAt).DistinctBy(r => LotKey.Of(r.Lot))];
        }
    }

    /// <summary>Records with this lot, signed or put right, of which addenda change more than words.</summary>
    internal static Task<List<Guid>> ChangedWith(PortalDb db, string key, CancellationToken stop) =>
        db.Addenda.AsNoTracking().Where(a => a.RightLotKey == key || (a.Corrects != null || a.RightDay != null || a.Standing != null) && (db.Set<PlacementRow>().Any(p => p.TreatmentId == a.TreatmentId && p.LotKey == key) || db.Set<DrawnRow>().Any(d => d.TreatmentId == a.TreatmentId && d.LotKey == key)))
            .Select(a => a.TreatmentId).Distinct().ToListAsync(stop);
}
