using System.Net;
using System.Net.Sockets;
using AftercarePortal.Demo.Clock;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace AftercarePortal.Demo.Rehearsal;

/// <summary>A demo of its own for one rehearsal: free ports, a temporary folder, a clock that starts at 11:00 at the clinic.</summary>
internal sealed class Stage : IAsyncDisposable
{
    private readonly DirectoryInfo _folder;

    private Stage(WrenfoldDemo demo, DirectoryInfo folder) => (Demo, _folder) = (demo, folder);

    public WrenfoldDemo Demo { get; }

    public static async Task<Stage> Set()
    {
        var folder = Directory.CreateTempSubdirectory("aftercare-rehearsal-");
        var clock = new DemoClock();
        clock.MoveTo(NextEleven(clock.Now.InZone(DateTimeZoneProviders.Tzdb["America/New_York"])));
        var demo = await WrenfoldDemo.Start($"http://127.0.0.1:{FreePort()}", $"http://127.0.0.1:{FreePort()}", folder.FullName, clock,
            // The timeline is the output; warnings go to standard error.
            builder => builder.Logging.SetMinimumLevel(LogLevel.Warning).AddConsole(o => o.LogToStandardErrorThreshold = LogLevel.Trace));
        return new(demo, folder);
    }

    public async ValueTask DisposeAsync()
    {
        await Demo.DisposeAsync();
        SqliteConnection.ClearAllPools();
        _folder.Delete(recursive: true);
    }

    private static Instant NextEleven(ZonedDateTime now)
    {
        var today = now.Date.At(new LocalTime(11, 0)).InZoneLeniently(now.Zone).ToInstant();
        return today >= now.ToInstant() ? today : now.Date.PlusDays(1).At(new LocalTime(11, 0)).InZoneLeniently(now.Zone).ToInstant();
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
