using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Data;

/// <summary>What time it is for the database server.</summary>
internal static class DatabaseClock
{
    internal const string OnPostgres = "SELECT clock_timestamp() AS \"Value\"", OnSqlServer = "SELECT SYSDATETIMEOFFSET() AS [Value]";

    extension(PortalDb db)
    {
        /// <summary>How far the clock of the database server is, at least, from this machine's, 0 or more: an answer that took long says nothing of a clock. A database in this process has no clock of its own.</summary>
        public async Task<Duration> ClocksApart(TimeProvider time, CancellationToken stop)
        {
            if (db.Database.IsSqlite()) return Duration.Zero;
            await db.Database.OpenConnectionAsync(stop);
            try
            {
                var before = time.GetCurrentInstant();
                var there = Instant.FromDateTimeOffset(await db.Database.SqlQueryRaw<DateTimeOffset>(db.Database.IsNpgsql() ? OnPostgres : OnSqlServer).SingleAsync(stop));
                var after = time.GetCurrentInstant();
                return there < before ? before - there : there > after ? there - after : Duration.Zero;
            }
            finally
            {
                await db.Database.CloseConnectionAsync();
            }
        }
    }
}
