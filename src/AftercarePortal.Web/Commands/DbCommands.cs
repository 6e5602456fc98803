using System.Data.Common;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Infrastructure;
using Microsoft.EntityFrameworkCore.Migrations;

namespace AftercarePortal.Web.Commands;

/// <summary>Brings the configured database up to date, or writes the SQL that would.</summary>
internal static class DbCommands
{
    private const string Usage =
        """
        usage: db migrate [--SECTION:KEY=VALUE ...]
               db script [--to FILE] [--SECTION:KEY=VALUE ...]
        migrate  applies every migration the database does not have yet; makes the database when there is none
        script   prints the SQL of every migration; on PostgreSQL and SQL Server it may be run again, on SQLite only on an empty database
        The database is the one the portal is configured for: Database:Kind (sqlite, postgres, sqlserver) and Database:Connection,
        from appsettings.json, the environment (Database__Kind ...) or here (--Database:Kind=postgres). script opens no database.
        Take a backup before migrate. exit codes: 0 done, 1 not done, 2 wrong use
        """;

    public static async Task<int> Run(string[] args, TextWriter output, TextWriter error)
    {
        if (args is ["--help" or "-h"] or [_, "--help" or "-h"]) { output.WriteLine(Usage); return 0; }
        var (file, settings) = args is ["script", "--to", var given, .. var after] ? (given, after) : (null, args is [_, .. var rest] ? rest : []);
        if (args is not ["migrate" or "script", ..] || settings.Any(s => !s.StartsWith("--", StringComparison.Ordinal) || !s.Contains('=')) || file?.StartsWith('-') == true)
        {
            error.WriteLine(Usage);
            return 2;
        }

        try
        {
            await using var services = Services(settings);
            await using var scope = services.CreateAsyncScope();
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            if (!db.Database.GetMigrations().Any())
            {
                error.WriteLine("This program carries no migrations for this kind of database.");
                return 1;
            }

            if (args[0] == "migrate") await Migrate(db, output);
            else await Script(db, file, output);
            return 0;
        }
        catch (Exception fault) when (fault is DbException or InvalidOperationException or ArgumentException or IOException or UnauthorizedAccessException)
        {
            error.WriteLine($"Not done: {fault.Message}");
            return 1;
        }
    }

    // The same sources of settings as the portal's own.
    private static ServiceProvider Services(string[] settings)
    {
        var builder = WebApplication.CreateBuilder(new WebApplicationOptions { Args = settings, ContentRootPath = AppContext.BaseDirectory });
        var services = new ServiceCollection();
        services.AddData(builder.Configuration);
        return services.BuildServiceProvider();
    }

    private static async Task Migrate(PortalDb db, TextWriter output)
    {
        var missing = (await db.Database.GetPendingMigrationsAsync()).ToList();
        await db.Database.MigrateAsync();
        output.WriteLine(missing.Count == 0 ? "The database was up to date." : $"{missing.Count} applied: {string.Join(", ", missing)}.");
    }

    private static async Task Script(PortalDb db, string? file, TextWriter output)
    {
        var options = db.Database.IsSqlite() ? MigrationsSqlGenerationOptions.Default : MigrationsSqlGenerationOptions.Idempotent;
        var script = db.GetService<IMigrator>().GenerateScript(options: options);
        if (file is null)
        {
            output.Write(script);
            return;
        }

        await File.WriteAllTextAsync(file, script);
        output.WriteLine($"Written to {Path.GetFullPath(file)}.");
    }
}
