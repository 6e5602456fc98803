using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

public sealed class Sqlite_durability : IDisposable
{
    private readonly ITestDatabase _database = ITestDatabase.Sqlite();

    public void Dispose() => _database.Dispose();

    [Fact]
    [Source("SQLite documentation, PRAGMA synchronous", at: "FULL (2): in WAL mode a commit outlives a loss of power; NORMAL (1) may lose it")]
    public async Task Is_set_on_every_connection_the_portal_opens()
    {
        await using var one = _database.Open(Guid.CreateVersion7());
        await using var other = _database.Open(Guid.CreateVersion7());
        foreach (var db in new[] { one, other })
        {
            await db.Database.OpenConnectionAsync();
            Assert.Equal((2, "wal"), (await Setting<int>(db, "synchronous"), await Setting<string>(db, "journal_mode")));
        }
    }

    private static async Task<T> Setting<T>(PortalDb db, string name)
    {
        await using var command = db.Database.GetDbConnection().CreateCommand();
        command.CommandText = "PRAGMA " + name;
        return (T)Convert.ChangeType((await command.ExecuteScalarAsync())!, typeof(T), System.Globalization.CultureInfo.InvariantCulture);
    }
}
