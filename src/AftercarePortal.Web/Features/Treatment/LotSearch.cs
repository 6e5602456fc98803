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

/// <summary>One placement of a lot, as signed.</summary>
internal sealed record LotPlacement(Guid TreatmentId, LocalDate TreatedOn, Region Region, Side Side, string Product, string Lot, string Amount);

/// <summary>Finds everybody who got a lot.</summary>
internal static class LotSearch
{
    /// <summary>The clinic's patients with a placement of this lot in any spelling, by name.</summary>
    public static async Task<IReadOnlyList<LotPatient>> PatientsOfLot(this PortalDb db, string lot, CancellationToken stop)
    {
        var key = LotKey.Of(lot);
        var found = await (
            from placement in db.Placements.AsNoTracking()
            where placement.LotKey == key
            join treatment in db.Treatments.AsNoTracking() on placement.TreatmentId equals treatment.Id
            join patient in db.Patients.AsNoTracking() on treatment.PatientId equals patient.Id
            select new { patient, treatment.Id, treatment.TreatedOn, placement }).ToListAsync(stop);
        return
        [
            .. found.GroupBy(f => f.patient.Id).Select(g => new LotPatient(g.Key, g.First().patient.Name, g.First().patient.Number,
            [
                .. g.OrderByDescending(f => f.TreatedOn).ThenBy(f => f.placement.Ordinal)
                    .Select(f => new LotPlacement(f.Id, f.TreatedOn, f.placement.Region, f.placement.Side, f.placement.ProductName, f.placement.Lot, f.placement.Amount)),
            ])).OrderBy(p => p.Name, StringComparer.CurrentCultureIgnoreCase),
        ];
    }
}
