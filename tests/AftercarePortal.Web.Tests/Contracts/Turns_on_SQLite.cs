using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Jobs;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>Writers of one SQLite file stand in line, and whoever fails gives its turn back.</summary>
public sealed class Turns_on_SQLite : IDisposable
{
    private static readonly Guid Clinic = Guid.CreateVersion7();
    private readonly ITestDatabase _database = ITestDatabase.Sqlite();

    public void Dispose() => _database.Dispose();

    [Fact]
    public async Task A_save_waits_for_whoever_writes()
    {
        await using var db = _database.Open(Clinic);
        var turns = SqliteTurns.Of(db.Database.GetDbConnection());
        await turns.Take("somebody", default);
        db.Add(new PatientRow { Name = "Mira Example", Number = "+12025550111" });
        var save = db.SaveChangesAsync();
        Assert.False(save.IsCompleted);
        turns.Leave("somebody");
        Assert.Equal(1, await save);
    }

    [Fact]
    public async Task A_statement_waits_for_whoever_writes()
    {
        await using var db = _database.Open(Clinic);
        var turns = SqliteTurns.Of(db.Database.GetDbConnection());
        await turns.Take("somebody", default);
        var deletion = db.Jobs.ExecuteDeleteAsync();
        Assert.False(deletion.IsCompleted);
        turns.Leave("somebody");
        Assert.Equal(0, await deletion);
    }

    [Fact]
    public async Task Whoever_fails_gives_the_turn_back()
    {
        await using var db = _database.Open(Clinic);
        var turns = SqliteTurns.Of(db.Database.GetDbConnection());
        db.Enqueue("nothing", "1", default);
        await db.SaveChangesAsync();
        await Assert.ThrowsAsync<SqliteException>(() => db.Jobs.ExecuteUpdateAsync(set => set.SetProperty(j => j.Lane, 3)));
        Assert.True(turns.Take("the next", default).IsCompletedSuccessfully);
        turns.Leave("the next");

        db.Enqueue("nothing", "1", default, lane: 3);
        await Assert.ThrowsAsync<DbUpdateException>(() => db.SaveChangesAsync());
        Assert.True(turns.Take("the next", default).IsCompletedSuccessfully);
    }

    [Fact]
    public async Task A_turn_that_was_taken_away_is_not_given_to_two()
    {
        await using var db = _database.Open(Clinic);
        var turns = SqliteTurns.Of(db.Database.GetDbConnection());
        await turns.Take("never leaves", default);
        await turns.Take("waited long enough", default);
        turns.Leave("never leaves");
        Assert.False(turns.Take("a third", default).IsCompleted);
        turns.Leave("waited long enough");
    }
}
