using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace AftercarePortal.Web.Data;

/// <summary>What somebody looks for may hold U+0000 too (a search field, a link, a login name): PostgreSQL refuses it, so it is replaced as in stored text and finds nothing.</summary>
internal sealed class NulInParameters : DbCommandInterceptor
{
    public override InterceptionResult<DbDataReader> ReaderExecuting(DbCommand command, CommandEventData eventData, InterceptionResult<DbDataReader> result)
    {
        Replace(command);
        return result;
    }

    public override ValueTask<InterceptionResult<DbDataReader>> ReaderExecutingAsync(DbCommand command, CommandEventData eventData, InterceptionResult<DbDataReader> result, CancellationToken cancellationToken = default)
    {
        Replace(command);
        return ValueTask.FromResult(result);
    }

    public override ValueTask<InterceptionResult<int>> NonQueryExecutingAsync(DbCommand command, CommandEventData eventData, InterceptionResult<int> result, CancellationToken cancellationToken = default)
    {
        Replace(command);
        return ValueTask.FromResult(result);
    }

    private static void Replace(DbCommand command)
    {
        foreach (DbParameter parameter in command.Parameters)
            if (parameter.Value is string text && text.Contains('\0', StringComparison.Ordinal)) parameter.Value = text.WithoutNul();
    }
}
