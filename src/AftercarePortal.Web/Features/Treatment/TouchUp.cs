using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Shared;
using NodaTime;

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
        /// <summary>Treatments of the patient that hold and are no touch-up themselves and in which something was placed, the latest first.</summary>
        public async Task<IReadOnlyList<Candidate>> TouchUpsFor(Guid patientId, CancellationToken stop) =>
        [
            .. (await db.RecordsThatHold(patientId, stop)).Where(t => t is { TouchUpOf: null, WasStopped: false }).OrderByDescending(t => t.Number)
                .Select(t => new Candidate(t.Id, t.TreatedOn, string.Join(", ", t.Placements.OrderBy(p => p.Ordinal).Select(p => $"{Plain.Words(p.Region)} {Plain.Words(p.Side)}").Distinct()))),
        ];

        /// <summary>What speaks against the link, in words; empty: nothing, or no link.</summary>
        public async Task<IReadOnlyList<string>> TouchUpFaults(Guid? of, Guid patientId, LocalDate? day, CancellationToken stop)
        {
            if (of is null) return [];
            if ((await db.RecordsThatHold(patientId, stop)).FirstOrDefault(t => t.Id == of && t is { TouchUpOf: null, WasStopped: false })?.TreatedOn is not { } first)
                return ["Touch-up: choose the treatment of this patient it belongs to."];
            return day < first ? [$"Touch-up: the day is before the treatment of {Plain.Day(first)} that it touches up."] : [];
        }
    }
}
