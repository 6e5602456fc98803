using AftercarePortal.Testing;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Infrastructure;
using Microsoft.SqlServer.TransactSql.ScriptDom;
using Npgsql;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

public sealed class Migrations : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("aftercare-migrations-");
    private readonly StringWriter _output = new(), _error = new();

    public void Dispose()
    {
        SqliteConnection.ClearAllPools();
        _folder.Delete(recursive: true);
    }

    [Fact]
    public void On_SQLite_they_agree_with_the_model() => Assert.False(new SqliteForMigrations().CreateDbContext([]).Database.HasPendingModelChanges());

    [Fact]
    public void On_PostgreSQL_they_agree_with_the_model() => Assert.False(new PostgresForMigrations().CreateDbContext([]).Database.HasPendingModelChanges());

    [Fact]
    public void On_SQL_Server_they_agree_with_the_model() => Assert.False(new SqlServerForMigrations().CreateDbContext([]).Database.HasPendingModelChanges());

    [Fact]
    public void A_table_they_lack_is_noticed()
    {
        var options = new DbContextOptionsBuilder<SqlitePortalDb>().UseSqlite("Data Source=none.db").ReplaceService<IModelCustomizer, One_table_more>().Options;
        using var db = new SqlitePortalDb(options, new());
        Assert.True(db.Database.HasPendingModelChanges());
    }

    [Fact]
    public async Task An_empty_SQLite_file_becomes_the_database_the_portal_makes_for_tests()
    {
        Assert.True(await Migrate("sqlite", $"Data Source={File}") == 0, _error.ToString());
        using var made = new SqliteTestDatabase();
        Assert.Equal(await Parts(made.Connection), await Parts($"Data Source={File}"));
        Assert.Equal(0, await Migrate("sqlite", $"Data Source={File}"));
        Assert.EndsWith("The database was up to date." + Environment.NewLine, _output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_empty_PostgreSQL_database_is_made_and_takes_rows()
    {
        var connection = PostgresCluster.OfThisRun.ConnectionTo($"migrated_{Guid.CreateVersion7():N}");
        Assert.True(await Migrate("postgres", connection) == 0, _error.ToString());
        Assert.Equal(0, await Migrate("postgres", connection));
        await using (var db = new PostgresPortalDb(new DbContextOptionsBuilder<PostgresPortalDb>().UseNpgsql(connection).Options, new()))
        {
            db.Add(new ClinicRow
            {
                Name = "Wrenfold Clinic", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "202-555-0142",
                PatientNumber = "+12025550100", PageNumber = "+12025550101", QuietFrom = new(21, 0), QuietTo = new(8, 0),
            });
            await db.SaveChangesAsync();
            Assert.Equal(1, await db.Clinics.CountAsync());
            NpgsqlConnection.ClearPool((NpgsqlConnection)db.Database.GetDbConnection());
            await db.Database.EnsureDeletedAsync();
        }
    }

    [Fact]
    public async Task A_database_with_tables_and_no_history_is_left_alone_with_exit_code_1()
    {
        using var made = new SqliteTestDatabase();
        var before = await Parts(made.Connection);
        Assert.Equal(1, await Migrate("sqlite", made.Connection));
        Assert.Contains("Not done:", _error.ToString(), StringComparison.Ordinal);
        Assert.Equal(before, await Parts(made.Connection));
    }

    [Fact]
    public async Task The_script_for_SQLite_makes_the_same_database()
    {
        Assert.Equal(0, await DbCommands.Run(["script", "--Database:Kind=sqlite"], _output, _error));
        await using (var connection = new SqliteConnection($"Data Source={File}"))
        {
            await connection.OpenAsync();
            await using var command = connection.CreateCommand();
            command.CommandText = _output.ToString();
            await command.ExecuteNonQueryAsync();
        }

        using var made = new SqliteTestDatabase();
        Assert.Equal(await Parts(made.Connection), await Parts($"Data Source={File}"));
    }

    [Fact]
    public async Task The_script_for_SQL_Server_is_written_to_a_file_and_is_whole_Transact_SQL()
    {
        var file = Path.Combine(_folder.FullName, "migrate.sql");
        Assert.Equal(0, await DbCommands.Run(["script", "--to", file, "--Database:Kind=sqlserver", "--Database:Connection=Server=none"], _output, _error));
        using var script = new StreamReader(file);
        new TSql160Parser(initialQuotedIdentifiers: true).Parse(script, out var faults);
        Assert.Empty(faults.Select(f => $"line {f.Line}: {f.Message}"));
        Assert.Contains("CREATE TABLE [Jobs]", await System.IO.File.ReadAllTextAsync(file), StringComparison.Ordinal);
    }

    private string File => Path.Combine(_folder.FullName, "portal.db");

    private Task<int> Migrate(string kind, string connection) =>
        DbCommands.Run(["migrate", $"--Database:Kind={kind}", $"--Database:Connection={connection}"], _output, _error);

    // Every table's columns and every index, without the migrations' own tables.
    private static async Task<List<string>> Parts(string connection)
    {
        await using var open = new SqliteConnection(connection);
        await open.OpenAsync();
        await using var command = open.CreateCommand();
        command.CommandText = """
            SELECT m.type || ' ' || m.name || ' ' || coalesce(group_concat(c.name || ' ' || c.type || ' ' || c."notnull" || ' ' || c.pk, ', '), m.sql)
            FROM sqlite_master m LEFT JOIN pragma_table_info(m.name) c ON m.type = 'table'
            WHERE m.name NOT LIKE '\_\_EF%' ESCAPE '\' AND m.name NOT LIKE 'sqlite\_%' ESCAPE '\' GROUP BY m.type, m.name ORDER BY 1
            """;
        var parts = new List<string>();
        await using var reader = await command.ExecuteReaderAsync();
        while (await reader.ReadAsync()) parts.Add(reader.GetString(0));
        Assert.NotEmpty(parts);
        return parts;
    }

    private sealed class One_table_more(ModelCustomizerDependencies dependencies) : RelationalModelCustomizer(dependencies)
    {
        public override void Customize(ModelBuilder modelBuilder, DbContext context)
        {
            base.Customize(modelBuilder, context);
            modelBuilder.Entity("Extra", extra => extra.Property<int>("Id"));
        }
    }
}
