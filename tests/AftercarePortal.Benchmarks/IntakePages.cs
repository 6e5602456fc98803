using System.Globalization;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Testing;
using AftercarePortal.Web;
using NodaTime;

namespace AftercarePortal.Benchmarks;

/// <summary>The pages of one intake, asked for by a browser without script: server time over the loopback, and bytes of the first view with its style sheet.</summary>
internal static class IntakePages
{
    /// <summary>A first view stays below this, in bytes.</summary>
    private const int MostBytes = 40_000;

    public static async Task<IReadOnlyList<string>> Run(int times)
    {
        using var database = new SqliteTestDatabase();
        var keys = Directory.CreateTempSubdirectory("aftercare-benchmark-");
        var url = $"http://127.0.0.1:{FreePort.Take()}";
        await using var portal = Portal.Build(
        [
            $"--urls={url}", "--Jobs:Run=false", "--Database:Kind=sqlite", $"--Database:Connection={database.Connection}", $"--Keys:Folder={keys.FullName}", "--Carrier:AccountSid=AC1", "--Carrier:AuthToken=demo-token",
            // One browser here does what a thousand would: no limit is what is measured.
            "--Intake:MostAnswers=1000000", "--Intake:MostWorkedOut=1000000", "--Intake:MostPrinted=1000000",
            $"--Carrier:PublicUrl={url}", "--Carrier:BaseUrl=http://127.0.0.1:9", "--Logging:LogLevel:Default=None", "--Logging:LogLevel:Microsoft.AspNetCore.DataProtection=None",
        ]);
        await Seed.Run(portal.Services, SystemClock.Instance.GetCurrentInstant());
        await portal.StartAsync();
        using var browser = new HttpClient(new SocketsHttpHandler { AllowAutoRedirect = false, UseCookies = false }) { BaseAddress = new Uri(url) };

        async Task<string> Post(string at, params (string, string)[] typed)
        {
            using var answer = await browser.PostAsync(at, new FormUrlEncodedContent(typed.Select(t => KeyValuePair.Create(t.Item1, t.Item2))));
            return answer.Headers.Location?.OriginalString ?? throw new InvalidOperationException($"{(int)answer.StatusCode} instead of going on.");
        }

        var first = await Post("/Intake/at/wrenfold", ("lang", "en"));
        var link = first[..first.LastIndexOf('/')];
        var at = await Post(first, ("day", "28"), ("month", "2"), ("year", "1988"), ("act", "answer"));
        while (!at.EndsWith("/check", StringComparison.Ordinal))
        {
            var page = await browser.GetStringAsync(at);
            at = page.Contains("value=\"jaw-body\"", StringComparison.Ordinal) ? await Post(at, ("choice", "jaw-body"), ("act", "answer"))
                : page.Contains("<textarea", StringComparison.Ordinal) ? await Post(at, ("text", "A firmer jaw line."), ("act", "answer")) : await Post(at, ("act", "skip"));
        }

        var result = await Post(at);
        var style = (await browser.GetByteArrayAsync("/assets/site.css")).Length;
        var lines = new List<string>();
        foreach (var (name, address) in new[] { ("start", "/Intake/at/wrenfold"), ("question", first), ("check", at), ("result, nearly all left out", result), ("photos", $"{link}/photos"), ("result as PDF", $"{link}/pdf") })
        {
            var (timings, bytes) = (new Timings(), 0);
            for (var i = -50; i < times; i++) await (i < 0 ? new Timings() : timings).Time(async () => bytes = (await browser.GetByteArrayAsync(address)).Length);
            var view = address.EndsWith("/pdf", StringComparison.Ordinal) ? bytes : bytes + style;
            lines.Add(timings.Line($"intake page: {name}") + string.Create(CultureInfo.InvariantCulture, $"  {view,7} bytes{(view > MostBytes ? ", above 40,000" : "")}"));
        }

        var answers = new Timings();
        for (var i = -50; i < times; i++) await (i < 0 ? new Timings() : answers).Time(() => Post(first, ("day", "28"), ("month", "2"), ("year", "1988"), ("act", "answer")));
        lines.Add(answers.Line("intake: one answer kept, durable commit"));
        var worked = new Timings();
        for (var i = -5; i < times / 5; i++) await (i < 0 ? new Timings() : worked).Time(() => Post(at));
        lines.Add(worked.Line("intake: worked out with its price range and kept"));
        await portal.StopAsync();
        keys.Delete(recursive: true);
        return lines;
    }
}
