using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using Microsoft.SqlServer.Dac;
using Microsoft.SqlServer.Dac.Model;
using Microsoft.SqlServer.TransactSql.ScriptDom;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>No SQL Server runs here: its create script is read by Microsoft's own parser, and its model is checked by Microsoft's own compiler of databases.</summary>
public sealed class Tables_on_SQL_Server
{
    [Fact]
    public void The_create_script_is_whole_Transact_SQL()
    {
        using var db = new SqlServerForMigrations().CreateDbContext([]);
        var script = db.Database.GenerateCreateScript();
        Assert.Contains("CREATE TABLE [Jobs]", script, StringComparison.Ordinal);
        Assert.Empty(Faults(script));
    }

    [Fact]
    [Source("System.Data.SqlTypes.SqlGuid, which compares as SQL Server does; and SQL Server's binary, which compares byte by byte", at: "CompareTo")]
    public void Ids_made_in_order_are_in_order_as_they_are_stored_and_would_not_be_as_uniqueidentifier()
    {
        var made = Enumerable.Range(0, 300).Select(_ => OrderedId.New()).ToList();
        var stored = made.ConvertAll(id => (byte[])new GuidAsBytes().ConvertToProvider(id)!);
        Assert.All(stored.Zip(stored.Skip(1)), pair => Assert.True(pair.First.AsSpan().SequenceCompareTo(pair.Second) < 0));
        Assert.Equal(made, stored.ConvertAll(bytes => (Guid)new GuidAsBytes().ConvertFromProvider(bytes)!));
        Assert.NotEqual(made, made.OrderBy(id => new System.Data.SqlTypes.SqlGuid(id)));

        using var db = new SqlServerForMigrations().CreateDbContext([]);
        Assert.DoesNotContain("uniqueidentifier", db.Database.GenerateCreateScript(), StringComparison.OrdinalIgnoreCase);
    }

    [Theory]
    [InlineData(DatabaseClock.OnSqlServer)]
    [InlineData(HeldKey.OnSqlServer)]
    public void What_is_asked_in_its_own_words_is_whole_Transact_SQL(string sql) => Assert.Empty(Faults(sql.Replace("{0}", "@key", StringComparison.Ordinal)));

    [Fact]
    public void A_broken_script_is_found() => Assert.NotEmpty(Faults("CREATE TABLE [Jobs] ([Id] uniqueidentifier NOT NULL,, );"));

    [Fact]
    public void The_create_script_compiles_to_a_model_without_errors()
    {
        using var db = new SqlServerForMigrations().CreateDbContext([]);
        Assert.Empty(Unresolved(db.Database.GenerateCreateScript()));
    }

    [Fact]
    public void An_index_on_a_column_that_is_not_there_is_found() =>
        Assert.NotEmpty(Unresolved("CREATE TABLE [Jobs] ([Id] int NOT NULL);\nGO\nCREATE INDEX [IX] ON [Jobs] ([Kind]);\nGO\n"));

    private static List<string> Unresolved(string script)
    {
        using var model = new TSqlModel(SqlServerVersion.Sql160, new TSqlModelOptions());
        model.AddObjects(script);
        return [.. model.Validate().Where(m => m.MessageType is DacMessageType.Error).Select(m => m.ToString())];
    }

    private static List<string> Faults(string script)
    {
        new TSql160Parser(initialQuotedIdentifiers: true).Parse(new StringReader(script), out var errors);
        return [.. errors.Select(e => $"line {e.Line}: {e.Message}")];
    }
}
