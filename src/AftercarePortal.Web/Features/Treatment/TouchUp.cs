using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>A visit that touches up an earlier treatment. It has a record of its own; only the link says what it belongs to.</summary>
internal static class TouchUp
{
    /// <summary>A treatment that can be touched up.</summary>
    /// <param name="Id">Its record.</param>
    /// <param name="TreatedOn">The clinic's local date.</param>
    /// <param name="Where">Regions and sides, in words.</param>
    internal sealed record Candidate(Guid Id, LocalDate TreatedOn, string Where);

    extension(PortalDb db)
    {
        /// <summary>Signed treatments of the patient that are no touch-up themselves, the latest first.</summary>
        public async Task<IReadOnlyList<Candidate>> TouchUpsFor(Guid patientId, CancellationToken stop) =>
        [
            .. (await db.Treatments.AsNoTracking().Include(t => t.Placements).Where(t => t.PatientId == patientId && t.TouchUpOf == null).OrderByDescending(t => t.Number).ToListAsync(stop))
                .Select(t => new Candidate(t.Id, t.TreatedOn, string.Join(", ", t.Placements.OrderBy(p => p.Ordinal).Select(p => $"{Plain.Words(p.Region)} {Plain.Words(p.Side)}").Distinct()))),
        ];

        /// <summary>What speaks against the link, in words; empty: nothing, or no link.</summary>
        public async Task<IReadOnlyList<string>> TouchUpFaults(Guid? of, Guid patientId, LocalDate? day, CancellationToken stop)
        {
            if (of is null) return [];
            if (await db.Treatments.AsNoTracking().Where(t => t.Id == of && t.PatientId == patientId && t.TouchUpOf == null).Select(t => (LocalDate?)t.TreatedOn).SingleOrDefaultAsync(stop) is not { } first)
                return ["Touch-up: choose the treatment of this patient it belongs to."];
            return day < first ? [$"Touch-up: the day is before the treatment of {LocalDatePattern.Iso.Format(first)} that it touches up."] : [];
        }
    }
}
