using System.Data.Common;
using System.Runtime.CompilerServices;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace AftercarePortal.Demo.Simulation;

/// <summary>Stands between the portal and its database: at every command and every commit a process may die, and between commands another may act.</summary>
internal sealed class SimFaults : DbCommandInterceptor, IDbTransactionInterceptor, ISaveChangesInterceptor
{
    /// <summary>Called before each command: may throw <see cref="SimCrash"/>. True: no transaction is open, others may act now.</summary>
    public Func<bool, Task> Point { get; set; } = _ => Task.CompletedTask;

    /// <summary>Called at the commit of a transaction, before and after it.</summary>
    public Action<string> AtCommit { get; set; } = _ => { };

    /// <summary>A planted fault: rewrites a command.</summary>
    public Func<string, string>? Rewrite { get; set; }

    /// <summary>A planted fault: changes what is about to be saved; what it returns is saved afterwards.</summary>
    public Func<DbContext, IReadOnlyList<object>>? BeforeSave { get; set; }

    private readonly ConditionalWeakTable<DbContext, IReadOnlyList<object>> _afterwards = [];

    public override async ValueTask<InterceptionResult<DbDataReader>> ReaderExecutingAsync(DbCommand command, CommandEventData eventData, InterceptionResult<DbDataReader> result, CancellationToken cancellationToken = default)
    {
        await At(command);
        return result;
    }

    public override async ValueTask<InterceptionResult<int>> NonQueryExecutingAsync(DbCommand command, CommandEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
    {
        await At(command);
        return result;
    }

    public ValueTask<InterceptionResult> TransactionCommittingAsync(DbTransaction transaction, TransactionEventData eventData, InterceptionResult result, CancellationToken cancellationToken = default)
    {
        AtCommit("before");
        return ValueTask.FromResult(result);
    }

    public Task TransactionCommittedAsync(DbTransaction transaction, TransactionEndEventData eventData, CancellationToken cancellationToken = default)
    {
        AtCommit("after");
        return Task.CompletedTask;
    }

    public async ValueTask<InterceptionResult<int>> SavingChangesAsync(DbContextEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
    {
        // Between a decision and its write others may act, also where the write is the first command of its own transaction.
        await Point(eventData.Context!.Database.CurrentTransaction is null);
        if (BeforeSave?.Invoke(eventData.Context!) is { Count: > 0 } later) _afterwards.AddOrUpdate(eventData.Context!, later);
        return result;
    }

    public async ValueTask<int> SavedChangesAsync(SaveChangesCompletedEventData eventData, int result, CancellationToken cancellationToken = default)
    {
        if (BeforeSave is null || !_afterwards.TryGetValue(eventData.Context!, out var later)) return result;
        _afterwards.Remove(eventData.Context!);
        eventData.Context!.ChangeTracker.Clear();
        eventData.Context.AddRange(later);
        await eventData.Context.SaveChangesAsync(cancellationToken);
        return result;
    }

    private Task At(DbCommand command)
    {
        if (Rewrite is not null) command.CommandText = Rewrite(command.CommandText);
        return Point(SQLitePCL.raw.sqlite3_get_autocommit(((SqliteConnection)command.Connection!).Handle) == 1);
    }
}
