using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using Microsoft.SqlServer.TransactSql.ScriptDom;
using Xunit;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>No SQL Server runs here: its create script is only read by Microsoft's own parser.</summary>
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
    public void A_broken_script_is_found() => Assert.NotEmpty(Faults("CREATE TABLE [Jobs] ([Id] uniqueidentifier NOT NULL,, );"));

    private static List<string> Faults(string script)
    {
        new TSql160Parser(initialQuotedIdentifiers: true).Parse(new StringReader(script), out var errors);
        return [.. errors.Select(e => $"line {e.Line}: {e.Message}")];
    }
}
