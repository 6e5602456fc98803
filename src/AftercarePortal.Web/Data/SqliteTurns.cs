using System.Collections.Concurrent;
using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace AftercarePortal.Web.Data;

/// <summary>Writers of one SQLite file stand in line. SQLite lets one write at a time, and whoever finds it busy sleeps for longer and longer and is overtaken: a webhook then waits many times what a write takes.</summary>
/// <remarks>Only who comes first is decided here; that nobody writes at once is SQLite's own lock, also between processes. Source: SQLite documentation, sqlite3_busy_timeout.</remarks>
internal sealed class SqliteTurns
{
    // As long as SQLite itself waits: a turn that was never given back costs one wait and no more.
    private static readonly TimeSpan Longest = TimeSpan.FromSeconds(5);
    private static readonly ConcurrentDictionary<string, SqliteTurns> Files = new();

    private readonly SemaphoreSlim _free = new(1, 1);
    private object? _writer;

    /// <summary>The line before one file.</summary>
    public static SqliteTurns Of(DbConnection connection) => Files.GetOrAdd(connection.ConnectionString, _ => new());

    /// <summary>Waits for its turn, or until whoever has it had it for too long.</summary>
    public async Task Take(object writer, CancellationToken stop)
    {
        await _free.WaitAsync(Longest, stop);
        Volatile.Write(ref _writer, writer);
    }

    /// <summary>Lets the next one write. Says nothing when the turn was taken away meanwhile.</summary>
    public void Leave(object writer)
    {
        if (ReferenceEquals(Interlocked.CompareExchange(ref _writer, null, writer), writer)) _free.Release();
    }

    /// <summary>Updates and deletions that are one statement and their own transaction. Saves take their turn in <see cref="SqlitePortalDb"/>.</summary>
    internal sealed class OfStatements : DbCommandInterceptor
    {
        public override async ValueTask<InterceptionResult<int>> NonQueryExecutingAsync(DbCommand command, CommandEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
        {
            if (command is { Transaction: null, Connection: { } connection }) await Of(connection).Take(command, cancellationToken);
            return result;
        }

        public override ValueTask<int> NonQueryExecutedAsync(DbCommand command, CommandExecutedEventData eventData, int result, CancellationToken cancellationToken = default)
        {
            Leave(command);
            return ValueTask.FromResult(result);
        }

        public override Task CommandFailedAsync(DbCommand command, CommandErrorEventData eventData, CancellationToken cancellationToken = default)
        {
            Leave(command);
            return Task.CompletedTask;
        }

        public override Task CommandCanceledAsync(DbCommand command, CommandEndEventData eventData, CancellationToken cancellationToken = default)
        {
            Leave(command);
            return Task.CompletedTask;
        }

        private static void Leave(DbCommand command)
        {
            if (command.Connection is { } connection) Of(connection).Leave(command);
        }
    }
}
