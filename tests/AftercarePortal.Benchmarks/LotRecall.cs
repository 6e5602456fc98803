using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Benchmarks;

/// <summary>Finding the patients of one lot among a million placements of one clinic.</summary>
internal static class LotRecall
{
    private const int Patients = 100_000;

    /// <summary>Fills a database; lot <c>L-2001</c> gets 50 patients, lot <c>BIG</c> 5,000.</summary>
    public static async Task<(Timings Usual, Timings Large)> Run(ITestDatabase database, int times)
    {
        var clinic = Guid.CreateVersion7();
        await Fill(database, clinic);
        return (await Find(database, clinic, "l 2001", 50, times), await Find(database, clinic, "BIG", 5000, times));
    }

    private static async Task<Timings> Find(ITestDatabase database, Guid clinic, string lot, int expected, int times)
    {
        var timings = new Timings();
        for (var i = 0; i < times; i++)
            await timings.Time(async () =>
            {
                await using var db = database.Open(clinic);
                if ((await db.PatientsOfLot(lot, default)).Count != expected) throw new InvalidOperationException("The wrong patients were found.");
            });
        return timings;
    }

    private static async Task Fill(ITestDatabase database, Guid clinic)
    {
        await using (var first = database.Open(clinic))
        {
            first.Add(new ClinicRow
            {
                Id = clinic, Name = "Wrenfold Clinic", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "+12125550100",
                PatientNumber = "+12125550110", PageNumber = "+12125550120", QuietFrom = new(21, 0), QuietTo = new(8, 0),
            });
            await first.SaveChangesAsync();
        }

        for (var batch = 0; batch < Patients; batch += 2000)
        {
            await using var db = database.Open(clinic);
            db.ChangeTracker.AutoDetectChangesEnabled = false;
            for (var n = batch; n < batch + 2000; n++) AddTreated(db, n);
            await db.SaveChangesAsync();
        }
    }

    // Ten placements a patient: a hundred thousand patients have a million.
    private static void AddTreated(Web.Data.PortalDb db, int n)
    {
        var patient = new PatientRow { Name = $"Patient {n}", Number = "+12125550150" };
        db.Add(patient);
        db.Add(new TreatmentRow
        {
            Id = Guid.CreateVersion7(), PatientId = patient.Id, TreatedOn = new(2026, 1, 1), SignedBy = "Dr mara", SignedAt = default,
            Placements =
            [
                .. Enumerable.Range(1, 10).Select(i => new PlacementRow
                {
                    Ordinal = i, Region = default, Side = default, ProductClass = default, ProductName = "Demo CaHA 1.5 mL", Expiry = new(2031, 1, 1), Plane = default, Device = "cannula",
                    HundredthsMl = 10, Lot = i == 1 && n < 5000 ? "BIG" : $"L-{n / 50 + 1 + (i - 1) * 2000}",
                }),
            ],
        });
    }
}
