using AftercarePortal.Testing;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>What keeps clinics apart on every database.</summary>
public abstract class Clinic_filter_contract : IDisposable
{
    private static readonly Guid Ours = Guid.CreateVersion7();
    private static readonly Guid Theirs = Guid.CreateVersion7();
    private readonly ITestDatabase _database;

    private protected Clinic_filter_contract(ITestDatabase database) => _database = database;

    public void Dispose()
    {
        _database.Dispose();
        GC.SuppressFinalize(this);
    }

    [Fact]
    public async Task Rows_of_another_clinic_are_not_seen()
    {
        await Keep(Ours, "Mira Example");
        await Keep(Theirs, "Jonas Example");
        Assert.Equal(["Mira Example"], await NamesSeenFrom(Ours));
        Assert.Equal(["Jonas Example"], await NamesSeenFrom(Theirs));
    }

    [Fact]
    public async Task Without_a_clinic_nothing_is_seen()
    {
        await Keep(Ours, "Mira Example");
        Assert.Empty(await NamesSeenFrom(Guid.Empty));
    }

    [Fact]
    public async Task A_row_of_another_clinic_is_not_found_by_its_id_and_not_changed()
    {
        var id = await Keep(Theirs, "Jonas Example");
        await using var db = _database.Open(Ours);
        Assert.Null(await db.Patients.SingleOrDefaultAsync(p => p.Id == id));
        Assert.Equal(0, await db.Patients.Where(p => p.Id == id).ExecuteUpdateAsync(set => set.SetProperty(p => p.Name, "taken over")));
        Assert.Equal(["Jonas Example"], await NamesSeenFrom(Theirs));
    }

    [Fact]
    public void Every_row_of_a_clinic_has_the_filter()
    {
        using var db = _database.Open(Ours);
        var rows = db.Model.GetEntityTypes().Where(t => typeof(IClinicRow).IsAssignableFrom(t.ClrType)).ToList();
        Assert.NotEmpty(rows);
        Assert.All(rows, row => Assert.NotEmpty(row.GetDeclaredQueryFilters()));
    }

    private async Task<Guid> Keep(Guid clinic, string name)
    {
        await using var db = _database.Open(clinic);
        var patient = new PatientRow { Name = name, Number = "+12025550111" };
        db.Add(patient);
        await db.SaveChangesAsync();
        return patient.Id;
    }

    private async Task<List<string>> NamesSeenFrom(Guid clinic)
    {
        await using var db = _database.Open(clinic);
        return await db.Patients.Select(p => p.Name).ToListAsync();
    }
}
