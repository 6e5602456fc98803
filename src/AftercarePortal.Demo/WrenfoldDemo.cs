using System.Security.Cryptography;
using AftercarePortal.Demo.Clock;
using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Web;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Demo;

/// <summary>The portal with the invented clinic on SQLite, and a carrier on this machine instead of the real one. Both listen on loopback only.</summary>
internal sealed class WrenfoldDemo : IAsyncDisposable
{
    private const string Account = "AC00000000000000000000000000000000";
    private readonly WebApplication _portal;
    private readonly WebApplication _phone;

    private WrenfoldDemo(WebApplication portal, WebApplication phone, (string Portal, string Phone) urls, LoopbackCarrier carrier, DemoClock clock, WallClock wall) =>
        (_portal, _phone, PortalUrl, PhoneUrl, Carrier, Clock, Wall, Days) = (portal, phone, urls.Portal, urls.Phone, carrier, clock, wall, new(clock, portal.Services));

    public string PortalUrl { get; }
    public string PhoneUrl { get; }
    public LoopbackCarrier Carrier { get; }
    public DemoClock Clock { get; }
    public WallClock Wall { get; }
    public PassingDays Days { get; }

    /// <summary>The portal's parts.</summary>
    public IServiceProvider Parts => _portal.Services;

    /// <summary>Starts both.</summary>
    /// <param name="portalUrl">Where the portal listens.</param>
    /// <param name="phoneUrl">Where the carrier and its page of handsets listen.</param>
    /// <param name="folder">Where the database, the keys and the clock are kept; made when missing.</param>
    /// <param name="clock">Another clock than the one kept in the folder.</param>
    /// <param name="before">Changes the portal before it is built.</param>
    /// <param name="withPast">Whether a new clinic has a year of invented cases behind it.</param>
    public static async Task<WrenfoldDemo> Start(string portalUrl, string phoneUrl, string folder, DemoClock? clock = null, Action<WebApplicationBuilder>? before = null, bool withPast = false)
    {
        Directory.CreateDirectory(folder);
        clock ??= new DemoClock(Path.Combine(folder, "clock"));
        var token = RandomNumberGenerator.GetHexString(32);
        var portal = Portal.Build(
            [
                $"--urls={portalUrl}", "--Database:Kind=sqlite", $"--Database:Connection=Data Source={Path.Combine(folder, "wrenfold.db")}", $"--Keys:Folder={Path.Combine(folder, "keys")}",
                $"--Carrier:AccountSid={Account}", $"--Carrier:AuthToken={token}", $"--Carrier:PublicUrl={portalUrl}", $"--Carrier:BaseUrl={phoneUrl}",
            ],
            builder =>
            {
                UseClock(builder.Services, clock);
                before?.Invoke(builder);
            });
        await Seed.Run(portal.Services, clock.Now, withPast);
        var wall = await WallOf(portal.Services);

        var carrier = new LoopbackCarrier(Account, token, new Uri(portalUrl), portalUrl) { ReportsStatus = true, Time = clock };
        var phone = WebApplication.Create([$"--urls={phoneUrl}", "--Logging:LogLevel:Default=Warning"]);
        carrier.Map(phone);
        var demo = new WrenfoldDemo(portal, phone, (portalUrl, phoneUrl), carrier, clock, wall);
        var clockForm = new ClockForm(clock, wall, demo.Days);
        clockForm.Map(phone);
        phone.MapPhonePage(carrier,
        [
            ("Mira Sand, patient, treated on day 0", Seed.PatientNumber, Seed.ClinicNumber),
            ("Iris Hale, first on call", Seed.FirstOnCall, Seed.PageNumber),
            ("Tomas Reed, second on call", Seed.SecondOnCall, Seed.PageNumber),
        ], clockForm.Html);
        await phone.StartAsync();
        await portal.StartAsync();
        return demo;
    }

    // Signing in stays on real time: authenticators know no demo clock, and a moved clock must not throw anybody out.
    private static void UseClock(IServiceCollection services, DemoClock clock)
    {
        services.AddSingleton<TimeProvider>(clock);
        services.AddScoped(s => ActivatorUtilities.CreateInstance<StaffDoor>(s, TimeProvider.System));
        services.Configure<CookieAuthenticationOptions>(CookieAuthenticationDefaults.AuthenticationScheme, o => o.TimeProvider = TimeProvider.System);
    }

    private static async Task<WallClock> WallOf(IServiceProvider services)
    {
        await using var scope = services.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        var clinic = await db.Clinics.AsNoTracking().SingleAsync();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic.Id);
        var treatedOn = await db.Treatments.AsNoTracking().OrderByDescending(t => t.TreatedOn).Select(t => t.TreatedOn).FirstAsync();
        return new(DateTimeZoneProviders.Tzdb[clinic.Zone], treatedOn);
    }

    /// <summary>Ends when somebody stops the program.</summary>
    public Task WaitForShutdown() => _portal.WaitForShutdownAsync();

    public async ValueTask DisposeAsync()
    {
        await _portal.DisposeAsync();
        await _phone.DisposeAsync();
    }
}
