using System.Collections.Concurrent;
using System.Diagnostics;
using AftercarePortal.Testing;

namespace AftercarePortal.Web.Tests.Proof;

/// <summary>The portal as a program of its own, which can be killed.</summary>
internal sealed class Portal_process : IDisposable
{
    private readonly ConcurrentQueue<string> _words = new();
    private readonly Process _process;
    private readonly Uri _url;

    public Portal_process(string url, ITestDatabase database, string keys, params string[] settings)
        : this(null, url, database, keys, settings)
    {
    }

    /// <summary>On a host whose clock shows the time of another zone.</summary>
    /// <param name="zone">Its IANA name; null: as this machine.</param>
    public Portal_process(string? zone, string url, ITestDatabase database, string keys, string[] settings)
    {
        _url = new(url);
        string[] words = [typeof(Portal).Assembly.Location, $"--urls={url}", $"--Database:Kind={database.Kind}", $"--Database:Connection={database.Connection}", $"--Keys:Folder={keys}", .. settings];
        _process = new() { StartInfo = new("dotnet", words) { RedirectStandardOutput = true, RedirectStandardError = true } };
        if (zone is not null) _process.StartInfo.Environment["TZ"] = zone;
        _process.OutputDataReceived += (_, line) => _words.Enqueue(line.Data ?? "");
        _process.ErrorDataReceived += (_, line) => _words.Enqueue(line.Data ?? "");
        _process.Start();
        _process.BeginOutputReadLine();
        _process.BeginErrorReadLine();
    }

    /// <summary>Waits until it answers.</summary>
    public async Task Ready()
    {
        using var http = new HttpClient { BaseAddress = _url };
        await Until.True("the portal answers", async () =>
        {
            if (_process.HasExited) throw new InvalidOperationException($"The portal ended with {_process.ExitCode}: {string.Join('\n', _words)}");
            try
            {
                using var answer = await http.GetAsync(new Uri("/Staff/SignIn", UriKind.Relative));
                return answer.IsSuccessStatusCode;
            }
            catch (HttpRequestException)
            {
                return false;                                                   // not listening yet
            }
        });
    }

    /// <summary>SIGKILL: no handler runs, nothing is put away.</summary>
    public void Kill()
    {
        _process.Kill();
        _process.WaitForExit();
    }

    /// <summary>Sends another signal: STOP and CONT freeze it and let it go on.</summary>
    public void Signal(string name)
    {
        using var kill = Process.Start("kill", [$"-{name}", _process.Id.ToString(System.Globalization.CultureInfo.InvariantCulture)]);
        kill.WaitForExit();
    }

    public void Dispose()
    {
        if (!_process.HasExited) Kill();
        _process.Dispose();
    }
}
