using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace AftercarePortal.Web.Data;

/// <summary>Sets and asserts, at every open, what makes a committed row survive power loss.</summary>
/// <remarks>Source: SQLite documentation, PRAGMA synchronous: in WAL mode only FULL keeps the last commit through power loss.</remarks>
internal sealed class SqliteDurability : DbConnectionInterceptor
{
    public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData) => Assert(connection);

    public override Task ConnectionOpenedAsync(DbConnection connection, ConnectionEndEventData eventData, CancellationToken cancellationToken = default)
    {
        Assert(connection);
        return Task.CompletedTask;
    }

    /// <summary>Sets it on one open connection and looks whether it holds.</summary>
    /// <exception cref="InvalidOperationException">It does not.</exception>
    public static void Assert(DbConnection connection)
    {
        using var command = connection.CreateCommand();
        command.CommandText = "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; PRAGMA busy_timeout=5000;";
        command.ExecuteNonQuery();
        command.CommandText = "PRAGMA synchronous;";
        if (Convert.ToInt64(command.ExecuteScalar()) != 2)
            throw new InvalidOperationException("SQLite does not run with synchronous=FULL; a report could be lost.");
    }
}
