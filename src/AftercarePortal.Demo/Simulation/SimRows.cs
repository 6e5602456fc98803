using Microsoft.Data.Sqlite;

namespace AftercarePortal.Demo.Simulation;

/// <summary>Reads rows past the portal's own code, fast: each question is prepared once for a database.</summary>
internal sealed class SimRows(SqliteConnection database) : IDisposable
{
    private readonly Dictionary<string, SqliteCommand> _prepared = [];

    /// <summary>One value; null: no row, or no value.</summary>
    public object? One(string sql, params object[] values)
    {
        var value = Command(sql, values).ExecuteScalar();
        return value is DBNull ? null : value;
    }

    public long Count(string sql, params object[] values) => (long)(One(sql, values) ?? 0L);

    public List<object?[]> All(string sql, params object[] values)
    {
        var rows = new List<object?[]>();
        using var reader = Command(sql, values).ExecuteReader();
        while (reader.Read()) rows.Add([.. Enumerable.Range(0, reader.FieldCount).Select(i => reader.IsDBNull(i) ? null : reader.GetValue(i))]);
        return rows;
    }

    private SqliteCommand Command(string sql, object[] values)
    {
        if (!_prepared.TryGetValue(sql, out var command))
        {
            command = database.CreateCommand();
            command.CommandText = sql;
            for (var i = 0; i < values.Length; i++) command.Parameters.AddWithValue($"${i}", values[i]);
            _prepared[sql] = command;
        }

        command.Transaction = null;
        for (var i = 0; i < values.Length; i++) command.Parameters[i].Value = values[i];
        return command;
    }

    public void Dispose()
    {
        foreach (var command in _prepared.Values) command.Dispose();
    }
}
