using System.Diagnostics;
using AftercarePortal.Testing;
using AftercarePortal.Web;

namespace AftercarePortal.Benchmarks;

/// <summary>From starting the program to its first page, on a SQLite file with empty tables.</summary>
internal static class StartToReady
{
    public static async Task<Timings> Run(int times)
    {
        using var database = new SqliteTestDatabase();
        var keys = Directory.CreateTempSubdirectory("aftercare-benchmark-");
        var url = $"http://127.0.0.1:{FreePort.Take()}";
        string[] words =
        [
            typeof(Portal).Assembly.Location, $"--urls={url}", "--Database:Kind=sqlite", $"--Database:Connection={database.Connection}", $"--Keys:Folder={keys.FullName}",
            "--Carrier:AccountSid=AC00000000000000000000000000000000", "--Carrier:AuthToken=demo-token", $"--Carrier:PublicUrl={url}", "--Carrier:BaseUrl=http://127.0.0.1:9", "--Logging:LogLevel:Default=None", "--Logging:LogLevel:Microsoft.AspNetCore.DataProtection=None",
        ];
        var timings = new Timings();
        for (var i = 0; i < times; i++)
        {
            Process? portal = null;
            await timings.Time(async () =>
            {
                portal = Process.Start(new ProcessStartInfo("dotnet", words)) ?? throw new InvalidOperationException("dotnet did not start.");
                await FirstPage(portal, new Uri(url + "/Staff/SignIn"));
            });
            portal!.Kill();
            await portal.WaitForExitAsync();
            portal.Dispose();
        }

        keys.Delete(recursive: true);
        return timings;
    }

    private static async Task FirstPage(Process portal, Uri page)
    {
        using var http = new HttpClient();
        while (!portal.HasExited)
        {
            try
            {
                using var answer = await http.GetAsync(page);
                if (answer.IsSuccessStatusCode) return;
            }
            catch (HttpRequestException)
            {
                await Task.Delay(2);                                            // not listening yet
            }
        }

        throw new InvalidOperationException($"The portal ended with {portal.ExitCode}.");
    }
}
