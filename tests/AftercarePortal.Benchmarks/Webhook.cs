using System.Net;
using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Testing;
using AftercarePortal.Web;
using NodaTime;

namespace AftercarePortal.Benchmarks;

/// <summary>Signed inbound texts to the portal and to the bare endpoint, turn and turn about, one after another, on the same disk.</summary>
internal static class Webhook
{
    private const string Account = "AC00000000000000000000000000000000", Token = "demo-token";

    /// <param name="warmUp">Posts to each that are not counted.</param>
    /// <param name="times">Posts to each that are.</param>
    /// <param name="workers">Whether the portal's workers read and answer the texts meanwhile.</param>
    public static async Task<(Timings Portal, Timings Bare)> Run(int warmUp, int times, bool workers)
    {
        using var database = new SqliteTestDatabase();
        await using var bare = new BareEndpoint();
        await using var phone = Microsoft.AspNetCore.Builder.WebApplication.Create(["--urls=http://127.0.0.1:0", "--Logging:LogLevel:Default=None"]);
        var url = $"http://127.0.0.1:{FreePort.Take()}";
        var toPortal = new LoopbackCarrier(Account, Token, new Uri(url), url);
        var toBare = new LoopbackCarrier(Account, Token, await bare.Start(), url);
        toPortal.Map(phone);
        await phone.StartAsync();
        var keys = Directory.CreateTempSubdirectory("aftercare-benchmark-");
        await using var portal = Portal.Build(
        [
            $"--urls={url}", $"--Jobs:Run={workers}", "--Database:Kind=sqlite", $"--Database:Connection={database.Connection}", $"--Keys:Folder={keys.FullName}",
            $"--Carrier:AccountSid={Account}", $"--Carrier:AuthToken={Token}", $"--Carrier:PublicUrl={url}", $"--Carrier:BaseUrl={phone.Urls.Single()}", "--Logging:LogLevel:Default=None", "--Logging:LogLevel:Microsoft.AspNetCore.DataProtection=None",
        ]);
        await Seed.Run(portal.Services, SystemClock.Instance.GetCurrentInstant());
        await portal.StartAsync();

        var (ofPortal, ofBare) = (new Timings(), new Timings());
        for (var i = 0; i < warmUp; i++) await Both(new(), new());
        for (var i = 0; i < times; i++) await Both(ofPortal, ofBare);
        await portal.StopAsync();
        keys.Delete(recursive: true);
        return (ofPortal, ofBare);

        async Task Both(Timings one, Timings other)
        {
            await one.Time(() => Text(toPortal));
            await other.Time(() => Text(toBare));
        }
    }

    private static async Task Text(LoopbackCarrier carrier)
    {
        if (await carrier.Text(Seed.PatientNumber, Seed.ClinicNumber, "thanks, a bit sore but all fine") is var answer and not HttpStatusCode.OK)
            throw new InvalidOperationException($"The webhook answered {answer}.");
    }
}
