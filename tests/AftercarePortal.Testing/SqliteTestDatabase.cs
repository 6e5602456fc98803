using AftercarePortal.Web.Data;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Testing;

/// <summary>A temporary SQLite file, opened the way the portal opens its own.</summary>
internal sealed class SqliteTestDatabase : ITestDatabase
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("aftercare-sqlite-");

    public SqliteTestDatabase()
    {
        using var db = Open(new ClinicScope());
        db.Database.EnsureCreated();
    }

    public string Kind => "sqlite";

    public string Connection => $"Data Source={Path.Combine(_folder.FullName, "portal.db")}";

    public PortalDb Open(ClinicScope scope)
    {
        var options = new DbContextOptionsBuilder<SqlitePortalDb>();
        SqlitePortalDb.On(Connection, options);
        return new SqlitePortalDb(options.Options, scope);
    }

    public void Dispose()
    {
        using (var connection = new SqliteConnection(Connection)) SqliteConnection.ClearPool(connection);
        _folder.Delete(recursive: true);
    }
}
