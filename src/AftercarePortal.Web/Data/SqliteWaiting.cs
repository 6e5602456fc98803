using System.Runtime.InteropServices;
using Microsoft.Data.Sqlite;

namespace AftercarePortal.Web.Data;

/// <summary>How a writer waits while another writes: SQLite lets one at a time.</summary>
/// <remarks>SQLite's own waiting sleeps for longer and longer, up to a tenth of a second, and is overtaken by whoever comes meanwhile; a commit takes a hundredth of that.
/// So each asks again every millisecond. Nothing is held while it waits, and SQLite's lock decides, also between processes.
/// Source: SQLite documentation, sqlite3_busy_handler; its delays stand in sqliteDefaultBusyCallback of its main.c.</remarks>
internal static class SqliteWaiting
{
    /// <summary>For how long it asks, about: then the command fails as busy, and the library waits in its own way until the command's time is over.</summary>
    private static readonly TimeSpan Longest = TimeSpan.FromSeconds(5);

    // Kept for as long as the process lives: SQLite holds a pointer to it.
    private static readonly Waits Wait = (_, asked) =>
    {
        if (asked >= Longest.TotalMilliseconds) return 0;
        Thread.Sleep(asked == 0 ? 0 : 1);
        return 1;
    };

    [UnmanagedFunctionPointer(CallingConvention.Cdecl)]
    private delegate int Waits(IntPtr nothing, int asked);

    /// <summary>Lets one open connection wait this way.</summary>
    /// <exception cref="InvalidOperationException">SQLite refused.</exception>
    public static void Begin(SqliteConnection connection)
    {
        if (Set(connection.Handle!, Wait, IntPtr.Zero) is not 0 and var code) throw new InvalidOperationException($"SQLite refuses a way to wait: {code}.");
    }

    [DllImport("e_sqlite3", EntryPoint = "sqlite3_busy_handler", CallingConvention = CallingConvention.Cdecl, ExactSpelling = true)]
    private static extern int Set(SafeHandle database, Waits waits, IntPtr nothing);
}
