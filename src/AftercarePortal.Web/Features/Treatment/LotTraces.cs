using System.Text.Json;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Where a lot is named without a placement that counts: a person looks.</summary>
/// <param name="Address">The record, or the patient's form.</param>
/// <param name="Why">Why it does not count, in words.</param>
internal sealed record LotTrace(string Name, string Address, string Why);

/// <summary>Finds where a lot is named, or may be, without a placement that counts.</summary>
internal static class LotTraces
{
    private const string MayHaveBeenGiven = "Unsigned: it may have been given all the same";

    extension(PortalDb db)
    {
        /// <summary>
        /// By name: records that do not hold or were put right to another lot, lots drawn up of which no placement is written, lots that may be this one with what stood behind it on the pack,
        /// drafts nobody signed, and drafts that were thrown away.
        /// </summary>
        public async Task<IReadOnlyList<LotTrace>> TracesOfLot(string lot, CancellationToken stop)
        {
            var key = LotKey.Of(lot);
            var records = (await db.NamedIn(key, stop)).Select(t => (Record: t, Why: Why(t, key))).Concat((await db.MayBeNamedIn(key, stop)).Select(t => (Record: t, Why: WhyMayBe(t, key))))
                .Where(t => t.Why is not null).DistinctBy(t => t.Record.Id).Select(t => (t.Record.PatientId, Address: $"/Treatment/{t.Record.Id}", Why: t.Why!));
            List<(Guid PatientId, string Address, string Why)> all = [.. records, .. (await db.DraftsNaming(key, stop)).Select(d => (d.PatientId, $"/Treatment/Record/{d.PatientId}", d.Why))];
            var patients = all.Select(t => t.PatientId).ToHashSet();
            var names = await db.Patients.AsNoTracking().Where(p => patients.Contains(p.Id)).ToDictionaryAsync(p => p.Id, p => p.Name, stop);
            return [.. all.Select(t => new LotTrace(names[t.PatientId], t.Address, t.Why)).OrderBy(t => t.Name, StringComparer.CurrentCultureIgnoreCase)];
        }

        private async Task<List<TreatmentRow>> NamedIn(string key, CancellationToken stop)
        {
            var changed = await LotSearch.ChangedWith(db, key, stop);
            return await db.WholeRecords().Where(t => changed.Contains(t.Id) || db.Set<DrawnRow>().Any(d => d.TreatmentId == t.Id && d.LotKey == key) && !db.Set<PlacementRow>().Any(p => p.TreatmentId == t.Id && p.LotKey == key)).ToListAsync(stop);
        }

        private async Task<List<TreatmentRow>> MayBeNamedIn(string key, CancellationToken stop)
        {
            var found = new HashSet<Guid>();
            foreach (var begins in LotKey.RunOns(key))
            {
                found.UnionWith(await db.Placements.AsNoTracking().Where(p => p.LotKey.StartsWith(begins)).Select(p => p.TreatmentId).ToListAsync(stop));
                found.UnionWith(await db.Drawn.AsNoTracking().Where(d => d.LotKey.StartsWith(begins)).Select(d => d.TreatmentId).ToListAsync(stop));
                found.UnionWith(await db.Addenda.AsNoTracking().Where(a => a.RightLotKey!.StartsWith(begins)).Select(a => a.TreatmentId).ToListAsync(stop));
            }

            return found.Count == 0 ? [] : await db.WholeRecords().Where(t => found.Contains(t.Id)).ToListAsync(stop);
        }

        // A draft that was taken up again is searched as the draft or record it became.
        private async Task<IReadOnlyList<(Guid PatientId, string Why)>> DraftsNaming(string key, CancellationToken stop)
        {
            var open = (await db.TreatmentDrafts.AsNoTracking().ToListAsync(stop)).Select(d => (d.PatientId, Lot: NamedIn(d.Form, key), Says: $"it stands in a draft of {d.StaffName} that nobody signed yet"));
            var thrown = (await db.ThrownDrafts.AsNoTracking().Where(d => d.TakenUpAt == null).OrderByDescending(d => d.ThrownAt).ToListAsync(stop))
                .Select(d => (d.PatientId, Lot: NamedIn(d.Form, key), Says: $"it stands in a draft that {d.StaffName} threw away"));
            return [.. open.Concat(thrown).Where(d => d.Lot is not null).Select(d => (d.PatientId, $"{d.Says}{(LotKey.Of(d.Lot!) == key ? "" : $", as {MayBe(d.Lot!)}")}. {MayHaveBeenGiven}")).Distinct()];
        }
    }

    private static string? NamedIn(string form, string key)
    {
        List<string> lots = [.. JsonSerializer.Deserialize<RecordForm>(form)!.Lots()];
        return lots.Find(l => LotKey.Of(l) == key) ?? lots.Find(l => LotKey.MayHaveRunOn(LotKey.Of(l), key));
    }

    private static string? Why(TreatmentRow record, string key)
    {
        if (record.DoesHold && record.AsPutRight() is var right && right.Placements.Exists(p => p.LotKey == key)) return null;
        if (record.Standing is not RecordStanding.Holds) return "the record does not hold";
        return record.Placements.Exists(p => p.LotKey == key) ? "an addendum put the lot or the amount right: it was not this one" : "it was drawn up, and no placement of it is written";
    }

    private static string? WhyMayBe(TreatmentRow record, string key)
    {
        var right = record.AsPutRight();
        // Of one that does not hold, what was signed counts, too: what was put right to nothing is in no copy.
        var named = right.Placements.Concat(record.DoesHold ? [] : record.Placements).Select(p => (p.Lot, p.LotKey)).Concat(right.Drawn.Select(d => (d.Lot, d.LotKey)));
        if (named.FirstOrDefault(l => LotKey.MayHaveRunOn(l.LotKey, key)).Lot is not { } lot) return null;
        return record.DoesHold
            ? $"treated on {Plain.Day(right.TreatedOn)} with {MayBe(lot)}. Compare with the pack or its label; if it is this lot, put the lot right by an addendum, and look again"
            : $"the record does not hold; it names {MayBe(lot)}";
    }

    private static string MayBe(string lot) => $"lot {lot}, which may be this lot with what stood behind it on the pack: a scanner may have run them together";
}
