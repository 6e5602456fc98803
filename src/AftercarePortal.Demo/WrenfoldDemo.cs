using System.Security.Cryptography;
using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Web;
using NodaTime;

namespace AftercarePortal.Demo;

/// <summary>The portal with the invented clinic on SQLite, and a carrier on this machine instead of the real one. Both listen on loopback only.</summary>
internal sealed class WrenfoldDemo : IAsyncDisposable
{
    private const string Account = "AC00000000000000000000000000000000";
    private readonly WebApplication _portal;
    private readonly WebApplication _phone;

    private WrenfoldDemo(WebApplication portal, WebApplication phone) => (_portal, _phone) = (portal, phone);

    /// <summary>Starts both.</summary>
    /// <param name="portalUrl">Where the portal listens.</param>
    /// <param name="phoneUrl">Where the carrier and its page of handsets listen.</param>
    /// <param name="folder">Where the database and the keys are kept; made when missing.</param>
    public static async Task<WrenfoldDemo> Start(string portalUrl, string phoneUrl, string folder)
    {
        Directory.CreateDirectory(folder);
        var token = RandomNumberGenerator.GetHexString(32);
        var portal = Portal.Build(
        [
            $"--urls={portalUrl}", "--Database:Kind=sqlite", $"--Database:Connection=Data Source={Path.Combine(folder, "wrenfold.db")}", $"--Keys:Folder={Path.Combine(folder, "keys")}",
            $"--Carrier:AccountSid={Account}", $"--Carrier:AuthToken={token}", $"--Carrier:PublicUrl={portalUrl}", $"--Carrier:BaseUrl={phoneUrl}",
        ]);
        await Seed.Run(portal.Services, SystemClock.Instance.GetCurrentInstant());

        var carrier = new LoopbackCarrier(Account, token, new Uri(portalUrl), portalUrl);
        var phone = WebApplication.Create([$"--urls={phoneUrl}", "--Logging:LogLevel:Microsoft.AspNetCore=Warning"]);
        carrier.Map(phone);
        phone.MapPhonePage(carrier,
        [
            ("Mira Sand, patient, treated today", Seed.PatientNumber, Seed.ClinicNumber),
            ("Iris Hale, first on call", Seed.FirstOnCall, Seed.PageNumber),
            ("Tomas Reed, second on call", Seed.SecondOnCall, Seed.PageNumber),
        ]);
        await phone.StartAsync();
        await portal.StartAsync();
        return new(portal, phone);
    }

    /// <summary>Ends when somebody stops the program.</summary>
    public Task WaitForShutdown() => _portal.WaitForShutdownAsync();

    public async ValueTask DisposeAsync()
    {
        await _portal.DisposeAsync();
        await _phone.DisposeAsync();
    }
}
