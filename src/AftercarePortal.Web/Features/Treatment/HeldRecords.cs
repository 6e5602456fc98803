using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The signed records that say what was done, as their addenda put them right. Whatever acts on a record reads it here.</summary>
internal static class HeldRecords
{
    /// <summary>Days a treatment's aftercare runs: the longest sequence of content/ ends at half a year.</summary>
    internal const int AftercareRuns = 181;

    extension(PortalDb db)
    {
        /// <summary>The records that hold for this patient, with placements, what was drawn up and addenda; the latest day first. Copies (<see cref="PutRight"/>), never to be saved.</summary>
        public async Task<IReadOnlyList<TreatmentRow>> RecordsThatHold(Guid patientId, CancellationToken stop) => PutRightIn(await db.WholeRecords().Where(t => t.PatientId == patientId).ToListAsync(stop));

        /// <summary>The same of all patients of the clinic.</summary>
        public async Task<IReadOnlyList<TreatmentRow>> RecordsThatHold(CancellationToken stop) => PutRightIn(await db.WholeRecords().ToListAsync(stop));

        /// <summary>Those of <see cref="RecordsThatHold(PortalDb, Guid, CancellationToken)"/> within the half year aftercare runs, and the latest in which something was placed whatever its age.</summary>
        /// <param name="today">The clinic's local date.</param>
        public async Task<IReadOnlyList<TreatmentRow>> RunningTreatmentsOf(Guid patientId, LocalDate today, CancellationToken stop)
        {
            var from = today.PlusDays(-AftercareRuns);
            var all = await db.RecordsThatHold(patientId, stop);
            return [.. all.Where(t => t.TreatedOn >= from || t == all.FirstOrDefault(other => !other.WasStopped))];
        }

        /// <summary>One signed record with everything in it, as it was signed and whether or not it holds; or null.</summary>
        public Task<TreatmentRow?> SignedRecord(Guid id, CancellationToken stop) => db.WholeRecords().SingleOrDefaultAsync(t => t.Id == id, stop);

        /// <summary>Signed records with everything in them, as they were signed.</summary>
        public IQueryable<TreatmentRow> WholeRecords() =>
            db.Treatments.AsNoTracking().AsSplitQuery()
                .Include(t => t.Placements.OrderBy(p => p.Ordinal)).Include(t => t.Drawn.OrderBy(d => d.Ordinal)).Include(t => t.Addenda.OrderBy(a => a.WrittenAt).ThenBy(a => a.Id));
    }

    private static List<TreatmentRow> PutRightIn(List<TreatmentRow> records) =>
        [.. records.Where(t => t.DoesHold).Select(t => t.AsPutRight()).OrderByDescending(t => t.TreatedOn).ThenByDescending(t => t.SignedAt).ThenByDescending(t => t.Id)];
}
