using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Design;

namespace AftercarePortal.Web.Data;

/// <summary>Opens the database the configuration names: <c>Database:Kind</c> (sqlite, postgres, sqlserver) and <c>Database:Connection</c>.</summary>
internal static class DataRoom
{
    // As long as a lease of the jobs.
    private const string IdleInSave = "idle_in_transaction_session_timeout", IdleAtMost = "30s";

    public static void AddData(this IServiceCollection services, IConfiguration configuration)
    {
        var kind = configuration["Database:Kind"] ?? "sqlite";
        var connection = configuration["Database:Connection"] ?? "Data Source=aftercare.db";
        services.AddScoped<ClinicScope>();
        switch (kind)
        {
            case "sqlite":
                services.AddPooledDbContextFactory<SqlitePortalDb>(o => SqlitePortalDb.On(connection, o));
                services.AddScoped<PortalDb>(s => KeptOpen(Pooled<SqlitePortalDb>(s)));
                break;
            case "postgres":
                services.AddPooledDbContextFactory<PostgresPortalDb>(o => PostgresPortalDb.On(Prepared(connection), o));
                services.AddScoped<PortalDb>(Pooled<PostgresPortalDb>);
                break;
            case "sqlserver":
                services.AddPooledDbContextFactory<SqlServerPortalDb>(o => o.UseSqlServer(connection));
                services.AddScoped<PortalDb>(Pooled<SqlServerPortalDb>);
                break;
            default:
                throw new InvalidOperationException($"Database:Kind is '{kind}'; it can be sqlite, postgres or sqlserver.");
        }
    }

    private static PortalDb Pooled<TDb>(IServiceProvider services) where TDb : PortalDb =>
        services.GetRequiredService<IDbContextFactory<TDb>>().CreateDbContext().In(services.GetRequiredService<ClinicScope>());

    // The same few dozen statements all day: the server parses and plans each once, unless the operator says otherwise. Nothing here leaves anything behind in a session
    // (no SET, no LISTEN, no lock of a session, no temporary table), so none is wiped before the next use, which would be seven statements before each of ours.
    private static string Prepared(string connection)
    {
        var settings = new Npgsql.NpgsqlConnectionStringBuilder(connection);
        if (settings.MaxAutoPrepare == 0 && !connection.Contains("Auto Prepare", StringComparison.OrdinalIgnoreCase)) (settings.MaxAutoPrepare, settings.AutoPrepareMinUsages) = (200, 3);
        if (!connection.Contains("Reset On Close", StringComparison.OrdinalIgnoreCase)) settings.NoResetOnClose = true;
        // A machine that stands still in the middle of a save keeps its rows locked for as long as it stands: the server ends that save once the machine's leases have run out.
        if (settings.Options?.Contains(IdleInSave, StringComparison.Ordinal) is not true) settings.Options = $"{settings.Options} -c {IdleInSave}={IdleAtMost}".Trim();
        return settings.ToString();
    }

    // Opening is what costs on SQLite: settings, and two dozen functions for the translated queries. A context of the pool keeps its connection.
    private static PortalDb KeptOpen(PortalDb db)
    {
        var connection = db.Database.GetDbConnection();
        if (connection.State is System.Data.ConnectionState.Open) return db;
        connection.Open();
        SqliteDurability.Assert(connection);
        return db;
    }
}

/// <summary>For the migration tool only: a context without a server behind it.</summary>
internal sealed class SqliteForMigrations : IDesignTimeDbContextFactory<SqlitePortalDb>
{
    public SqlitePortalDb CreateDbContext(string[] args) => new(new DbContextOptionsBuilder<SqlitePortalDb>().UseSqlite("Data Source=none.db").Options, new());
}

/// <inheritdoc cref="SqliteForMigrations" />
internal sealed class PostgresForMigrations : IDesignTimeDbContextFactory<PostgresPortalDb>
{
    public PostgresPortalDb CreateDbContext(string[] args) => new(new DbContextOptionsBuilder<PostgresPortalDb>().UseNpgsql("Host=none").Options, new());
}

/// <inheritdoc cref="SqliteForMigrations" />
internal sealed class SqlServerForMigrations : IDesignTimeDbContextFactory<SqlServerPortalDb>
{
    public SqlServerPortalDb CreateDbContext(string[] args) => new(new DbContextOptionsBuilder<SqlServerPortalDb>().UseSqlServer("Server=none").Options, new());
}
