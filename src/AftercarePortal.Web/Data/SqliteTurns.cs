using System.Data.Common;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Microsoft.EntityFrameworkCore.Storage;

namespace AftercarePortal.Web.Data;

/// <summary>Whoever writes to a SQLite file waits for its turn first, and has it for exactly as long as SQLite's own lock: until its transaction or its one statement is over, however that ends.</summary>
/// <remarks>Taken beside BEGIN and not around a save: between a turn and its end nobody runs anything but what holds the lock anyway.</remarks>
internal sealed class SqliteTurns : DbCommandInterceptor, IDbTransactionInterceptor, ISaveChangesInterceptor
{
    /// <summary>Lets writers of this file take turns.</summary>
    public static void AddTo(DbContextOptionsBuilder options) => options.AddInterceptors(new SqliteTurns()).ReplaceService<IRelationalTransactionFactory, Endings>();

    public async ValueTask<InterceptionResult<DbTransaction>> TransactionStartingAsync(
        DbConnection connection, TransactionStartingEventData eventData, InterceptionResult<DbTransaction> result, CancellationToken cancellationToken = default)
    {
        if (result.HasResult || SqliteLine.Of(connection) is not { } line) return result;
        await line.Take(connection, GoesFirst(eventData.Context), cancellationToken);
        try
        {
            return InterceptionResult<DbTransaction>.SuppressWithResult(await connection.BeginTransactionAsync(eventData.IsolationLevel, cancellationToken));
        }
        catch
        {
            line.Leave(connection);
            throw;
        }
    }

    // An update or a deletion that is one statement, and its own transaction.
    public override async ValueTask<InterceptionResult<int>> NonQueryExecutingAsync(DbCommand command, CommandEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
    {
        if (result.HasResult || command is not { Transaction: null, Connection: { } connection } || SqliteLine.Of(connection) is not { } line) return result;
        await line.Take(connection, GoesFirst(eventData.Context), cancellationToken);
        try
        {
            return InterceptionResult<int>.SuppressWithResult(await command.ExecuteNonQueryAsync(cancellationToken));
        }
        finally
        {
            line.Leave(connection);
        }
    }

    // A save of one row has a transaction like every other: it would be a query that writes, whose end nobody tells of.
    public ValueTask<InterceptionResult<int>> SavingChangesAsync(DbContextEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
    {
        if (eventData.Context is { Database: var database } && SqliteLine.Of(database.GetDbConnection()) is not null) database.AutoTransactionBehavior = AutoTransactionBehavior.Always;
        return ValueTask.FromResult(result);
    }

    private static bool GoesFirst(DbContext? db) => db is PortalDb { GoesFirst: true };

    /// <summary>Gives the turn back at a commit, at a rollback, and when a transaction is let go without either.</summary>
    internal sealed class Endings(RelationalTransactionFactoryDependencies dependencies) : IRelationalTransactionFactory
    {
        public RelationalTransaction Create(IRelationalConnection connection, DbTransaction transaction, Guid transactionId, IDiagnosticsLogger<DbLoggerCategory.Database.Transaction> logger, bool transactionOwned) =>
            new Ending(connection, transaction, transactionId, logger, transactionOwned, dependencies.SqlGenerationHelper);
    }

    private sealed class Ending(
        IRelationalConnection connection, DbTransaction transaction, Guid transactionId, IDiagnosticsLogger<DbLoggerCategory.Database.Transaction> logger, bool transactionOwned, ISqlGenerationHelper sql)
        : RelationalTransaction(connection, transaction, transactionId, logger, transactionOwned, sql)
    {
        private readonly DbConnection _connection = connection.DbConnection;

        // The database's part is over here; what follows may close the connection and waits for nobody.
        protected override Task ClearTransactionAsync(CancellationToken cancellationToken = default)
        {
            Leave();
            return base.ClearTransactionAsync(cancellationToken);
        }

        protected override void ClearTransaction()
        {
            Leave();
            base.ClearTransaction();
        }

        public override async ValueTask DisposeAsync()
        {
            try
            {
                await base.DisposeAsync();
            }
            finally
            {
                Leave();
            }
        }

        public override void Dispose()
        {
            try
            {
                base.Dispose();
            }
            finally
            {
                Leave();
            }
        }

        private void Leave() => SqliteLine.Of(_connection)?.Leave(_connection);
    }
}
