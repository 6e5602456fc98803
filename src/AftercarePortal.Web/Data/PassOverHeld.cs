using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace AftercarePortal.Web.Data;

/// <summary>Of a query tagged so, the rows are held until the transaction ends, and those somebody else holds are passed over: several workers that take from one queue do not wait for each other.</summary>
/// <remarks>PostgreSQL documentation, SELECT, The Locking Clause. Elsewhere the tag is a comment: whoever tags a query must stay right without it.</remarks>
internal sealed class PassOverHeld : DbCommandInterceptor
{
    /// <summary>For <c>TagWith</c>, on a query of one table.</summary>
    public const string Tag = "pass over what is held";

    public override ValueTask<InterceptionResult<DbDataReader>> ReaderExecutingAsync(DbCommand command, CommandEventData eventData, InterceptionResult<DbDataReader> result, CancellationToken cancellationToken = default)
    {
        if (command.CommandText.StartsWith("-- " + Tag, StringComparison.Ordinal)) command.CommandText += "\nFOR UPDATE SKIP LOCKED";
        return ValueTask.FromResult(result);
    }
}
