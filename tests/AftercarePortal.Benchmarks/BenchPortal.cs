using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Testing;
using AftercarePortal.Web;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace AftercarePortal.Benchmarks;

/// <summary>The seeded portal on one database, with a carrier on this machine that answers at once.</summary>
internal sealed class BenchPortal : IAsyncDisposable
{
    public const string Account = "AC00000000000000000000000000000000", Token = "demo-token";
    private readonly DirectoryInfo _keys = Directory.CreateTempSubdirectory("aftercare-benchmark-");
    private readonly WebApplication _phone = WebApplication.Create(["--urls=http://127.0.0.1:0", "--Logging:LogLevel:Default=None"]);
    private readonly WebApplication _portal;

    private BenchPortal(ITestDatabase database, bool workers)
    {
        Url = $"http://127.0.0.1:{FreePort.Take()}";
        Carrier = new(Account, Token, new Uri(Url), Url);
        Carrier.Map(_phone);
        _phone.StartAsync().GetAwaiter().GetResult();
        _portal = Portal.Build(
        [
            $"--urls={Url}", $"--Jobs:Run={workers}", $"--Database:Kind={database.Kind}", $"--Database:Connection={database.Connection}", $"--Keys:Folder={_keys.FullName}", $"--Photos:Key={Convert.ToBase64String(new byte[32])}",
            $"--Carrier:AccountSid={Account}", $"--Carrier:AuthToken={Token}", $"--Carrier:PublicUrl={Url}", $"--Carrier:BaseUrl={_phone.Urls.Single()}", "--Carrier:TextsPerSecond=0", "--Logging:LogLevel:Default=None", "--Logging:LogLevel:Microsoft.AspNetCore.DataProtection=None",
        ]);
    }

    public string Url { get; }
    public LoopbackCarrier Carrier { get; }
    public IServiceProvider Parts => _portal.Services;

    /// <param name="prepare">Runs between the seed and the start.</param>
    public static async Task<BenchPortal> Start(ITestDatabase database, bool workers, Func<IServiceProvider, Task>? prepare = null)
    {
        var portal = new BenchPortal(database, workers);
        await Seed.Run(portal.Parts, SystemClock.Instance.GetCurrentInstant());
        if (prepare is not null) await prepare(portal.Parts);
        await portal._portal.StartAsync();
        return portal;
    }

    public async ValueTask DisposeAsync()
    {
        await _portal.DisposeAsync();
        await _phone.DisposeAsync();
        _keys.Delete(recursive: true);
    }
}
