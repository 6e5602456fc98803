using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.ChangeTracking;
using Microsoft.EntityFrameworkCore.Metadata;
using Microsoft.EntityFrameworkCore.Storage;
using Npgsql;

namespace AftercarePortal.Web.Data;

/// <summary>Writes many changed rows with one statement for each table and kind of change, where the usual way has one for each row: 200 steps let go are three statements instead of 600.</summary>
/// <remarks>All of it or none, and a row that somebody else changed meanwhile refuses the whole, as the usual way does. Source of the form: PostgreSQL documentation, 9.19 Array Functions (unnest with several arrays).</remarks>
internal static class PostgresSets
{
    /// <summary>Fewer rows go the usual way.</summary>
    private const int WorthIt = 8;

    private static readonly Type[] Simple = [typeof(long), typeof(int), typeof(bool), typeof(string), typeof(Guid), typeof(double)];

    /// <summary>Whether all of these rows can go this way: many, new or changed, each an <see cref="IOneOfMany"/> of simple columns.</summary>
    public static bool CanHold(IReadOnlyList<EntityEntry> changed) =>
        changed.Count >= WorthIt && changed.All(e => e.State is EntityState.Added or EntityState.Modified) && changed.Select(e => e.Metadata).Distinct().All(StandsAlone);

    /// <summary>Writes them in a transaction of its own. The caller accepts the changes.</summary>
    /// <exception cref="DbUpdateConcurrencyException">A row is not as it was read; nothing was written.</exception>
    /// <exception cref="DbUpdateException">The database refused a row; nothing was written.</exception>
    public static async Task Write(DbContext db, IReadOnlyList<EntityEntry> changed, CancellationToken stop)
    {
        var sets = changed.GroupBy(e => (e.Metadata, e.State, Changed: string.Join(',', Written(e).Select(p => p.Name)))).Select(set => set.ToList()).ToList();
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await using var batch = new NpgsqlBatch((NpgsqlConnection)db.Database.GetDbConnection(), (NpgsqlTransaction)all.GetDbTransaction());
        sets.ForEach(set => batch.BatchCommands.Add(Statement(set)));
        try
        {
            await batch.ExecuteNonQueryAsync(stop);
        }
        catch (PostgresException refused)
        {
            throw new DbUpdateException("The database refused a row of many.", refused);
        }

        if (sets.Where((set, i) => batch.BatchCommands[i].RecordsAffected != set.Count).Any()) throw new DbUpdateConcurrencyException("A row of many is not as it was read.");
        await all.CommitAsync(stop);
    }

    private static bool StandsAlone(IEntityType type) =>
        typeof(IOneOfMany).IsAssignableFrom(type.ClrType) && !type.GetForeignKeys().Any() && !type.GetReferencingForeignKeys().Any() && !type.GetComplexProperties().Any()
        && type.GetProperties().All(p => (p.ValueGenerated is ValueGenerated.Never || p.ClrType == typeof(Guid)) && Simple.Contains(Stored(p)) && !(p.IsConcurrencyToken && p.IsNullable));

    private static Type Stored(IProperty property)
    {
        var type = property.GetTypeMapping().Converter?.ProviderClrType ?? property.ClrType;
        return Nullable.GetUnderlyingType(type) ?? type;
    }

    private static IEnumerable<IProperty> Written(EntityEntry row) => row.Metadata.GetProperties().Where(p => row.State is EntityState.Added || row.Property(p).IsModified);

    private static NpgsqlBatchCommand Statement(List<EntityEntry> rows)
    {
        var type = rows[0].Metadata;
        var table = StoreObjectIdentifier.Create(type, StoreObjectType.Table)!.Value;
        var written = Written(rows[0]).ToList();
        var command = new NpgsqlBatchCommand();
        if (rows[0].State is EntityState.Added)
        {
            written.ForEach(p => command.Parameters.Add(Values(rows, p, r => r.CurrentValues)));
            command.CommandText = $"INSERT INTO \"{table.Name}\" ({Columns(written)}) SELECT * FROM unnest({Numbers(written.Count)})";
            return command;
        }

        // What says which row it is, and that it still is as it was read.
        var held = type.GetProperties().Where(p => p.IsPrimaryKey() || p.IsConcurrencyToken).ToList();
        held.ForEach(p => command.Parameters.Add(Values(rows, p, r => r.OriginalValues)));
        written.ForEach(p => command.Parameters.Add(Values(rows, p, r => r.CurrentValues)));
        var names = Enumerable.Range(0, held.Count + written.Count).Select(i => $"c{i}").ToList();
        command.CommandText =
            $"UPDATE \"{table.Name}\" AS t SET {string.Join(", ", written.Select((p, i) => $"{Column(p)} = v.c{held.Count + i}"))} " +
            $"FROM unnest({Numbers(names.Count)}) AS v({string.Join(", ", names)}) WHERE {string.Join(" AND ", held.Select((p, i) => $"t.{Column(p)} = v.c{i}"))}";
        return command;

        string Column(IProperty p) => $"\"{p.GetColumnName(table)}\"";
        string Columns(IEnumerable<IProperty> properties) => string.Join(", ", properties.Select(Column));
        static string Numbers(int count) => string.Join(", ", Enumerable.Range(1, count).Select(i => $"${i}"));
    }

    private static NpgsqlParameter Values(List<EntityEntry> rows, IProperty property, Func<EntityEntry, PropertyValues> of)
    {
        var (type, converter) = (Stored(property), property.GetTypeMapping().Converter);
        var values = Array.CreateInstance(property.IsNullable && type.IsValueType ? typeof(Nullable<>).MakeGenericType(type) : type, rows.Count);
        for (var i = 0; i < rows.Count; i++)
        {
            var value = of(rows[i])[property];
            values.SetValue(value is null || converter is null ? value : converter.ConvertToProvider(value), i);
        }

        return new() { Value = values };
    }
}
