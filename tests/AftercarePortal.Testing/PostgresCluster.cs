using System.Diagnostics;
using System.Net;
using System.Net.Sockets;

namespace AftercarePortal.Testing;

/// <summary>A PostgreSQL cluster in a temporary folder, on a free port of 127.0.0.1, stopped when the test process exits.</summary>
/// <remarks>PostgreSQL refuses to run as root; then it runs as the user postgres. Missing PostgreSQL is a failure, never a skip.</remarks>
internal sealed class PostgresCluster
{
    private static readonly Lazy<PostgresCluster> Started = new(() => new PostgresCluster());

    /// <summary>Whether commits are really synced, as in a clinic; for measurements. Set before the cluster is first used.</summary>
    public static bool Durable { get; set; }

    private readonly string _bin = Binaries();
    private readonly string _folder;
    private readonly int _port = FreePort.Take();
    private readonly Process _undertaker;

    private PostgresCluster()
    {
        _folder = Path.Combine(Path.GetTempPath(), $"aftercare-postgres-{Guid.NewGuid():N}");
        Directory.CreateDirectory(_folder);
        if (Environment.IsPrivilegedProcess) Run("chown", "postgres", _folder);
        _undertaker = StopWhenThisProcessIsGone();
        AsPostgres("initdb", "-D", Data, "-U", "tests", "--auth=trust", "--encoding=UTF8", "--no-locale", "--no-sync");
        AsPostgres("pg_ctl", "-D", Data, "-l", Path.Combine(_folder, "log"), "-w", "-t", "60",
            "-o", $"-p {_port} -h 127.0.0.1 -k '' -c fsync={(Durable ? "on" : "off")} -c max_connections=200", "start");
    }

    /// <summary>The cluster of this test run; the first caller starts it.</summary>
    public static PostgresCluster OfThisRun => Started.Value;

    private string Data => Path.Combine(_folder, "data");

    /// <summary>The connection string of one database in it.</summary>
    public string ConnectionTo(string database) => $"Host=127.0.0.1;Port={_port};Username=tests;Database={database};Maximum Pool Size=20";

    private static string Binaries() =>
        (Directory.Exists("/usr/lib/postgresql") ? Directory.GetDirectories("/usr/lib/postgresql") : [])
        .Select(version => Path.Combine(version, "bin"))
        .Where(bin => File.Exists(Path.Combine(bin, "initdb")) && File.Exists(Path.Combine(bin, "pg_ctl")))
        .OrderByDescending(bin => int.TryParse(Path.GetFileName(Path.GetDirectoryName(bin)), out var version) ? version : 0)
        .FirstOrDefault()
        ?? throw new InvalidOperationException("PostgreSQL is not installed (no initdb under /usr/lib/postgresql/*/bin). On Debian: apt-get install postgresql");

    // Waits on a pipe only this process holds open: it closes however the process ends, also when it is killed.
    private Process StopWhenThisProcessIsGone()
    {
        const string Script = "cat >/dev/null 2>&1; folder=$1; shift; cd /; \"$@\" >/dev/null 2>&1; rm -rf \"$folder\"";
        return Process.Start(new ProcessStartInfo("setsid", ["sh", "-c", Script, "sh", _folder, .. PostgresCommand("pg_ctl", "-D", Data, "-m", "immediate", "-w", "stop")])
        {
            WorkingDirectory = "/",
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        })!;
    }

    private IReadOnlyList<string> PostgresCommand(string program, params string[] arguments) =>
        [.. Environment.IsPrivilegedProcess ? ["runuser", "-u", "postgres", "--"] : Array.Empty<string>(), Path.Combine(_bin, program), .. arguments];

    private void AsPostgres(string program, params string[] arguments)
    {
        var command = PostgresCommand(program, arguments);
        Run(command[0], [.. command.Skip(1)]);
    }

    private void Run(string program, params string[] arguments)
    {
        // Its words go to a file, not a pipe: the server outlives pg_ctl and would hold the pipe open.
        var words = Path.Combine(_folder, "words");
        var start = new ProcessStartInfo("/bin/sh", ["-c", "out=$1; shift; exec \"$@\" >>\"$out\" 2>&1 </dev/null", "sh", words, program, .. arguments]) { WorkingDirectory = "/" };
        using var process = Process.Start(start)!;
        process.WaitForExit();
        if (process.ExitCode != 0) throw new InvalidOperationException($"{program} {string.Join(' ', arguments)} ended with {process.ExitCode}: {File.ReadAllText(words)}");
    }
}
