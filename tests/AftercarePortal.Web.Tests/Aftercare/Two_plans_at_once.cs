using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Aftercare;

/// <summary>Two records of one patient, planned by two workers in the same moment, on every database.</summary>
public abstract class Two_plans_at_once : IDisposable
{
    private const int Patients = 8;
    private static readonly Guid Clinic = Guid.CreateVersion7();
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 11, 24, 16, 0, 0, TimeSpan.Zero));
    private readonly ITestDatabase _database;

    private protected Two_plans_at_once(ITestDatabase database) => _database = database;

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    [Fact]
    public async Task Leave_one_plan_that_names_both()
    {
        var records = await Signed();
        await Task.WhenAll(records.SelectMany(both => both).Select(record => Task.Run(() => Run(db => new PlanAftercare(db, new(db, Shared_content.Library), _time), record.Id))));
        foreach (var both in records) Assert.Equal([both[1].Id], await PlansOf(both[0].PatientId));
    }

    [Fact]
    public async Task Made_anew_after_both_were_put_right_leave_one_plan_too()
    {
        var records = await Signed();
        foreach (var record in records.SelectMany(both => both)) await Run(db => new PlanAftercare(db, new(db, Shared_content.Library), _time), record.Id);
        List<AddendumRow> addenda = [.. records.SelectMany(both => both).Select(r => new AddendumRow { Id = Guid.CreateVersion7(), TreatmentId = r.Id, Text = "The device was another.", WrittenBy = "Iris Hale", WrittenAt = _time.GetCurrentInstant() })];
        await Save(addenda);
        await Task.WhenAll(addenda.Select(addendum => Task.Run(() => Run(db => new PlanAnew(db, new(db, Shared_content.Library), _time), addendum.Id))));
        await using var db = _database.Open(Clinic);
        foreach (var both in records)
            Assert.Single(await db.Steps.Where(s => s.PatientId == both[0].PatientId && s.State == StepState.Planned).Select(s => s.Cause).Distinct().ToListAsync());
    }

    private async Task<List<Guid>> PlansOf(Guid patient)
    {
        await using var db = _database.Open(Clinic);
        return await db.Steps.Where(s => s.PatientId == patient && s.State == StepState.Planned).Select(s => s.TreatmentId).Distinct().ToListAsync();
    }

    private async Task Run(Func<PortalDb, IJobHandler> handler, Guid subject)
    {
        await using var db = _database.Open(Clinic);
        await handler(db).Run(subject.ToString(), default);
    }

    // Of each patient two records of this morning, the second signed an hour after the first.
    private async Task<List<TreatmentRow[]>> Signed()
    {
        var now = _time.GetCurrentInstant();
        List<PatientRow> patients = [.. Enumerable.Range(0, Patients).Select(i => new PatientRow { Name = $"Patient {i}", Number = $"+1202555011{i}", AgreedToTextsAt = now })];
        List<TreatmentRow[]> records = [.. patients.Select(p => new[] { Record(p, 1, ProductClass.CaHAFiller, now - Duration.FromHours(1)), Record(p, 2, ProductClass.HAFiller, now) })];
        await Save(
        [
            new ClinicRow { Id = Clinic, Name = "Wrenfold Clinic", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "202-555-0142", PatientNumber = "+12025550100", PageNumber = "+12025550101", QuietFrom = new(21, 0), QuietTo = new(8, 0) },
            .. patients, .. records.SelectMany(both => both),
        ]);
        return records;
    }

    private async Task Save(IReadOnlyList<object> rows)
    {
        await using var db = _database.Open(Clinic);
        db.AddRange(rows);
        await db.SaveChangesAsync();
    }

    private static TreatmentRow Record(PatientRow patient, int number, ProductClass product, Instant signed) => new()
    {
        Id = Guid.CreateVersion7(), PatientId = patient.Id, Number = number, TreatedOn = new(2026, 11, 24), SignedBy = "Iris Hale", SignedAt = signed,
        Placements =
        [
            new()
            {
                Ordinal = 1, Region = Region.JawAngle, Side = Side.Left, ProductClass = product, ProductName = "Demo filler", Lot = "DEMO-0417", Expiry = new(2028, 6, 30), HundredthsMl = 75, Plane = Plane.Subcutaneous,
                Device = "25 G cannula",
            },
        ],
    };
}

public sealed class Two_plans_at_once_on_SQLite() : Two_plans_at_once(ITestDatabase.Sqlite());

public sealed class Two_plans_at_once_on_PostgreSQL() : Two_plans_at_once(ITestDatabase.Postgres());
