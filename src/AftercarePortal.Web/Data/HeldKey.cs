using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Data;

/// <summary>A key that one transaction holds at a time, whether or not a row has it.</summary>
internal static class HeldKey
{
    internal const string OnPostgres = "SELECT pg_advisory_xact_lock(hashtextextended({0}, 0))";

    // The procedure answers a time-out with a number below 0 and raises nothing by itself.
    internal const string OnSqlServer = "DECLARE @held int; EXEC @held = sp_getapplock @Resource = {0}, @LockMode = 'Exclusive', @LockOwner = 'Transaction'; IF @held < 0 THROW 50000, 'The key could not be held.', 1;";

    extension(PortalDb db)
    {
        /// <summary>Waits until no other transaction of this clinic holds the key, and holds it until the current one ends. SQLite has one writer at a time and needs no more.</summary>
        public async Task HoldKey(string key, CancellationToken stop)
        {
            if (db.Database.IsSqlite()) return;
            await db.Database.ExecuteSqlRawAsync(db.Database.IsNpgsql() ? OnPostgres : OnSqlServer, [$"{db.ClinicId}:{key}"], stop);
        }
    }
}
