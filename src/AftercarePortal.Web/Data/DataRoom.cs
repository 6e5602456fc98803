using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Design;

namespace AftercarePortal.Web.Data;

/// <summary>Opens the database the configuration names: <c>Database:Kind</c> (sqlite, postgres, sqlserver) and <c>Database:Connection</c>.</summary>
internal static class DataRoom
{
    public static void AddData(this IServiceCollection services, IConfiguration configuration)
    {
        var kind = configuration["Database:Kind"] ?? "sqlite";
        var connection = configuration["Database:Connection"] ?? "Data Source=aftercare.db";
        services.AddScoped<ClinicScope>();
        switch (kind)
        {
            case "sqlite":
                services.AddDbContext<PortalDb, SqlitePortalDb>(o => o.UseSqlite(connection).AddInterceptors(new SqliteDurability()));
                break;
            case "postgres":
                services.AddDbContext<PortalDb, PostgresPortalDb>(o => o.UseNpgsql(connection));
                break;
            case "sqlserver":
                services.AddDbContext<PortalDb, SqlServerPortalDb>(o => o.UseSqlServer(connection));
                break;
            default:
                throw new InvalidOperationException($"Database:Kind is '{kind}'; it can be sqlite, postgres or sqlserver.");
        }
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
