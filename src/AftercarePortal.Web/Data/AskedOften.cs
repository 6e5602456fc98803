using System.Collections.Concurrent;
using Microsoft.EntityFrameworkCore.Metadata;

namespace AftercarePortal.Web.Data;

/// <summary>A query asked many times a second: translated once for each kind of database.</summary>
/// <param name="compile">Makes it, with <c>EF.CompileAsyncQuery</c>.</param>
internal sealed class AskedOften<TQuery>(Func<TQuery> compile) where TQuery : Delegate
{
    private readonly ConcurrentDictionary<IModel, TQuery> _compiled = new();

    public TQuery Of(PortalDb db) => _compiled.GetOrAdd(db.Model, _ => compile());
}
