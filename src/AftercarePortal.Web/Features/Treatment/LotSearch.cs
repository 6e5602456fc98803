using System.Text.Json;
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

/// <summary>Where a lot is named without a placement that counts: a person looks.</summary>
/// <param name="Address">The record, or the patient's form.</param>
/// <param name="Why">Why it does not count, in words.</param>
internal sealed record LotTrace(string Name, string Address, string Why);

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

        /// <summary>Where else the lot is named: records that do not hold or were put right to another lot, lots drawn up of which no placement is written, drafts nobody signed; by name.</summary>
        public async Task<IReadOnlyList<LotTrace>> TracesOfLot(string lot, CancellationToken stop)
        {
            var key = LotKey.Of(lot);
            var changed = await ChangedWith(db, key, stop);
            var named = await db.WholeRecords().Where(t => changed.Contains(t.Id) || db.Set<DrawnRow>().Any(d => d.TreatmentId == t.Id && d.LotKey == key) && !db.Set<PlacementRow>().Any(p => p.TreatmentId == t.Id && p.LotKey == key)).ToListAsync(stop);
            var drafts = (await db.TreatmentDrafts.AsNoTracking().ToListAsync(stop)).Where(d => JsonSerializer.Deserialize<RecordForm>(d.Form)!.Lots().Any(l => LotKey.Of(l) == key)).ToList();
            var patients = named.Select(t => t.PatientId).Concat(drafts.Select(d => d.PatientId)).ToHashSet();
            var names = await db.Patients.AsNoTracking().Where(p => patients.Contains(p.Id)).ToDictionaryAsync(p => p.Id, p => p.Name, stop);
            return
            [
                .. named.Select(t => (Record: t, Why: Why(t, key))).Where(t => t.Why is not null).Select(t => new LotTrace(names[t.Record.PatientId], $"/Treatment/{t.Record.Id}", t.Why!))
                    .Concat(drafts.Select(d => new LotTrace(names[d.PatientId], $"/Treatment/Record/{d.PatientId}", $"it stands in a draft of {d.StaffName} that nobody signed yet")))
                    .OrderBy(t => t.Name, StringComparer.CurrentCultureIgnoreCase),
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

    // Records with this lot, signed or put right, of which addenda change more than words.
    private static Task<List<Guid>> ChangedWith(PortalDb db, string key, CancellationToken stop) =>
        db.Addenda.AsNoTracking().Where(a => a.RightLotKey == key || (a.Corrects != null || a.RightDay != null || a.Standing != null) && (db.Set<PlacementRow>().Any(p => p.TreatmentId == a.TreatmentId && p.LotKey == key) || db.Set<DrawnRow>().Any(d => d.TreatmentId == a.TreatmentId && d.LotKey == key)))
            .Select(a => a.TreatmentId).Distinct().ToListAsync(stop);

    private static string? Why(TreatmentRow record, string key)
    {
        if (record.DoesHold && record.AsPutRight() is var right && right.Placements.Exists(p => p.LotKey == key)) return null;
        if (record.Standing is not RecordStanding.Holds) return "the record does not hold";
        return record.Placements.Exists(p => p.LotKey == key) ? "an addendum put the lot or the amount right: it was not this one" : "it was drawn up, and no placement of it is written";
    }
}
