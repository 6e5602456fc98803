using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using Npgsql;

namespace AftercarePortal.Testing;

/// <summary>One database in the cluster of this test run.</summary>
internal sealed class PostgresTestDatabase : ITestDatabase
{
    public string Kind => "postgres";

    public string Connection { get; } = PostgresCluster.OfThisRun.ConnectionTo($"portal_{Guid.CreateVersion7():N}");

    public PostgresTestDatabase()
    {
        using var db = Open(new ClinicScope());
        db.Database.EnsureCreated();
    }

    public PortalDb Open(ClinicScope scope)
    {
        var options = new DbContextOptionsBuilder<PostgresPortalDb>();
        PostgresPortalDb.On(Connection, options);
        return new PostgresPortalDb(options.Options, scope);
    }

    public void Dispose()
    {
        using (var connection = new NpgsqlConnection(Connection)) NpgsqlConnection.ClearPool(connection);
        using var db = Open(new ClinicScope());
        db.Database.EnsureDeleted();
    }
}
