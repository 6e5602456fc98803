using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Features.Treatment.Plan;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>What keeps plans, kit checks, records, drafts and poses single and whole on every database.</summary>
public abstract class Treatment_rows_contract : IDisposable
{
    private static readonly Instant Now = Instant.FromUtc(2026, 11, 25, 9, 0);
    private readonly Guid _clinic = Guid.CreateVersion7();
    private readonly ITestDatabase _database;
    private readonly PatientRow _patient = new() { Name = "Mira Example", Number = "+12025550111" };

    private protected Treatment_rows_contract(ITestDatabase database) => _database = database;

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    private async Task Add(params object[] rows)
    {
        await using var db = _database.Open(_clinic);
        if (!await db.Patients.AnyAsync()) db.Add(_patient);
        db.AddRange(rows);
        await db.SaveChangesAsync();
    }

    private TreatmentPlanRow Plan(int number) => new()
    {
        PatientId = _patient.Id, Number = number, Adjuncts = "", Note = "", SavedBy = "Iris Hale", SavedAt = Now,
        Lines = [new() { Ordinal = 1, Region = Region.JawAngle, Side = Side.Left, ProductClass = ProductClass.CaHAFiller, Hundredths = 75, Device = "22 G cannula" }],
    };

    private TreatmentRow Treatment(int number) => new()
    {
        Id = Guid.CreateVersion7(), PatientId = _patient.Id, Number = number, TreatedOn = new(2026, 11, 25), SignedBy = "Iris Hale", SignedAt = Now,
        Placements =
        [
            new()
            {
                Ordinal = 1, Region = Region.Platysma, Side = Side.Midline, ProductClass = ProductClass.BotulinumToxinTypeA, ProductName = "Demo toxin", Lot = "T-1", Expiry = new(2027, 1, 31),
                TenthsUnits = 125, Plane = Plane.Intramuscular, Device = "30 G needle",
            },
        ],
    };

    [Fact]
    public async Task A_plan_comes_back_as_it_was_kept_and_the_latest_version_counts()
    {
        await Add(Plan(1));
        await Add(Plan(2));
        await using var db = _database.Open(_clinic);
        var latest = await db.LatestPlanOf(_patient.Id, default);
        Assert.Equal(2, latest!.Number);
        Assert.Equal((Region.JawAngle, Side.Left, 0.75m), (latest.Lines[0].Region, latest.Lines[0].Side, latest.Lines[0].Deposit.Amount));
    }

    [Fact]
    public async Task One_version_of_a_plan_is_kept_once_and_accepted_once()
    {
        var plan = Plan(1);
        await Add(plan);
        await Assert.ThrowsAsync<DbUpdateException>(() => Add(Plan(1)));
        PlanAcceptanceRow Accepted() => new() { PlanId = plan.Id, PatientId = _patient.Id, SignedAs = "Mira Example", HandedOverBy = "Iris Hale", AcceptedAt = Now, Language = "en", Bytes = [1], Hash = "" };
        await Add(Accepted());
        await Assert.ThrowsAsync<DbUpdateException>(() => Add(Accepted()));
    }

    [Fact]
    public async Task A_kit_check_counts_for_its_day()
    {
        await Add(new KitCheckRow { Id = Guid.CreateVersion7(), PatientId = _patient.Id, On = new(2026, 11, 25), CheckedBy = "Iris Hale", CheckedAt = Now, Rules = "lower-face-safety.v1", Found = "{}" });
        await using var db = _database.Open(_clinic);
        Assert.NotNull(await db.KitCheckOf(_patient.Id, new(2026, 11, 25), default));
        Assert.Null(await db.KitCheckOf(_patient.Id, new(2026, 11, 26), default));
    }

    [Fact]
    public async Task Of_two_records_with_one_number_one_is_kept_and_amounts_come_back()
    {
        await Add(Treatment(1));
        await Assert.ThrowsAsync<DbUpdateException>(() => Add(Treatment(1)));
        await Add(Treatment(2));
        await using var db = _database.Open(_clinic);
        Assert.All(await db.Treatments.Include(t => t.Placements).ToListAsync(), t => Assert.Equal((12.5m, "12.5 units", "T1"), (t.Placements[0].Deposit.Amount, t.Placements[0].Amount, t.Placements[0].LotKey)));
    }

    [Fact]
    public async Task One_person_has_one_draft_of_a_patient()
    {
        TreatmentDraftRow Draft() => new() { PatientId = _patient.Id, StaffId = "1", StaffName = "Iris Hale", Form = "{}", SavedAt = Now };
        await Add(Draft());
        await Assert.ThrowsAsync<DbUpdateException>(() => Add(Draft()));
    }

    [Fact]
    public async Task A_photo_shows_one_pose()
    {
        var photo = new PhotoRow { ClinicId = _clinic, MessageId = Guid.CreateVersion7(), Index = 0 };
        PoseRow Pose() => new() { PhotoId = photo.Id, View = ProfileView.Left, SetBy = "Iris Hale", SetAt = Now };
        await Add(photo, Pose());
        await Assert.ThrowsAsync<DbUpdateException>(() => Add(Pose()));
    }
}

public sealed class Treatment_rows_on_SQLite() : Treatment_rows_contract(ITestDatabase.Sqlite());

public sealed class Treatment_rows_on_PostgreSQL() : Treatment_rows_contract(ITestDatabase.Postgres());
