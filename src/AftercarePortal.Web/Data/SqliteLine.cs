using System.Collections.Concurrent;
using System.Data.Common;

namespace AftercarePortal.Web.Data;

/// <summary>Those of this process who want to write to one SQLite file, in the order in which they came. What a carrier delivered goes before the rest, and never holds it up for long.</summary>
/// <remarks>SQLite lets one write at a time, and whoever finds it busy sleeps, for longer and longer, on a thread of its own, and is overtaken by everybody who comes meanwhile
/// (SQLite documentation, sqlite3_busy_timeout). Only who comes next is decided here: that nobody writes at once is SQLite's own lock, also between processes.</remarks>
/// <param name="longest">How long anybody waits here; then it asks SQLite itself.</param>
internal sealed class SqliteLine(TimeSpan longest)
{
    /// <summary>Most that go before the rest while some of the rest wait.</summary>
    public const int MostBefore = 8;

    private static readonly ConcurrentDictionary<string, SqliteLine> Files = new();
    private readonly Lock _order = new();
    private readonly Queue<Waiting> _first = new(), _rest = new();
    private DbConnection? _writer;
    private int _before;

    /// <summary>The line in front of the file this connection is open on; null: a database in memory, which nobody else can open.</summary>
    public static SqliteLine? Of(DbConnection connection) =>
        connection.DataSource is { Length: > 0 } file and not ":memory:" ? Files.GetOrAdd(file, _ => new(TimeSpan.FromSeconds(5))) : null;

    /// <summary>Ends when it is this connection's turn, or when it has waited too long for one that is not given back.</summary>
    /// <param name="first">Whether it goes before the rest.</param>
    /// <exception cref="OperationCanceledException">Nobody waits for it any more.</exception>
    public async ValueTask Take(DbConnection connection, bool first, CancellationToken stop)
    {
        Waiting waiting;
        lock (_order)
        {
            if (_writer is null || ReferenceEquals(_writer, connection))
            {
                _writer = connection;
                return;
            }

            waiting = new(connection);
            (first ? _first : _rest).Enqueue(waiting);
        }

        try
        {
            await waiting.Turn.Task.WaitAsync(longest, stop);
        }
        catch (Exception fault) when (fault is TimeoutException or OperationCanceledException)
        {
            lock (_order) waiting.Gone = true;
            if (fault is TimeoutException) return;
            Leave(connection);                                                     // its turn may have come in the same moment
            throw;
        }
    }

    /// <summary>Lets the next one write. Does nothing for a connection whose turn it is not.</summary>
    public void Leave(DbConnection connection)
    {
        lock (_order)
        {
            if (!ReferenceEquals(_writer, connection)) return;
            _writer = null;
            while (_writer is null && Next() is { } next)
            {
                if (next.Gone) continue;
                _writer = next.Connection;
                next.Turn.SetResult();
            }
        }
    }

    private Waiting? Next()
    {
        if (_first.Count > 0 && (_rest.Count == 0 || _before < MostBefore))
        {
            _before = _rest.Count > 0 ? _before + 1 : 0;                            // alone they keep nobody waiting
            return _first.Dequeue();
        }

        _before = 0;
        return _rest.TryDequeue(out var next) ? next : null;
    }

    private sealed class Waiting(DbConnection connection)
    {
        public DbConnection Connection { get; } = connection;
        public TaskCompletionSource Turn { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);
        public bool Gone { get; set; }
    }
}
