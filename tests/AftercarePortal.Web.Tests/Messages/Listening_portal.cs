using System.Security.Cryptography;
using System.Text;
using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

/// <summary>A portal with one clinic, reached over HTTP the way the carrier reaches it. Its public address differs from its own, as behind a proxy.</summary>
public sealed class Listening_portal : IAsyncLifetime
{
    public const string Public = "https://portal.example";
    /// <summary>Where the carrier turns when the first address does not answer.</summary>
    public const string Second = "https://second.example";
    public const string Account = "AC00000000000000000000000000000000";
    public const string Token = "demo-token";
    public const string Patients = "+12025550100";
    public const string Pages = "+12025550101";
    public const string Patient = "+12025550123";
    public static readonly Guid Clinic = Guid.Parse("01890a5d-ac96-774b-bcce-b302099a8001");

    private readonly SqliteTestDatabase _database = new();
    private WebApplication? _app;
    private WebApplication? _phone;
    private HttpClient _carrier = null!;
    private string _lineAt = "";

    /// <summary>Real seconds a repeat waits for the carrier's list: long, for a busy machine.</summary>
    public int ListSeconds { get; init; } = 15;

    internal FakeTimeProvider Time { get; } = new(new DateTimeOffset(2026, 11, 24, 23, 40, 0, TimeSpan.Zero));

    /// <summary>What the portal handed to the carrier, over real HTTP through the SDK.</summary>
    internal LoopbackCarrier Carrier { get; } = new(Account, Token, new Uri("http://127.0.0.1:9"), Public);

    public async Task InitializeAsync()
    {
        Carrier.Time = Time;
        await OpenTheLine("http://127.0.0.1:0");
        _app = Portal.Build(
            [
                "--urls=http://127.0.0.1:0", "--Jobs:Run=false", "--Database:Kind=sqlite", $"--Database:Connection={_database.Connection}",
                $"--Carrier:AccountSid={Account}", $"--Carrier:AuthToken={Token}", $"--Carrier:PublicUrl={Public}", $"--Carrier:SecondUrl={Second}", $"--Carrier:BaseUrl={_phone!.Urls.Single()}", $"--Carrier:ListSeconds={ListSeconds}",
            ],
            builder => builder.Services.AddSingleton<TimeProvider>(Time).AddSingleton(Shared_content.Library));
        await using (var scope = _app.Services.CreateAsyncScope())
        {
            var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
            await db.Database.EnsureCreatedAsync();
            db.Add(new ClinicRow
            {
                Id = Clinic, Name = "Wrenfold Clinic", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "202-555-0142",
                PatientNumber = Patients, PageNumber = Pages, QuietFrom = new(21, 0), QuietTo = new(8, 0),
            });
            await db.SaveChangesAsync();
        }

        await _app.StartAsync();
        Carrier.Portal = new Uri(_app.Urls.Single());
        _carrier = new HttpClient { BaseAddress = new Uri(_app.Urls.Single()) };
    }

    public async Task DisposeAsync()
    {
        _carrier.Dispose();
        if (_app is not null)
        {
            await _app.Services.GetRequiredService<JobRunner>().StopAsync(default);
            await _app.DisposeAsync();
        }

        if (_phone is not null) await _phone.DisposeAsync();
        _database.Dispose();
    }

    /// <summary>Delivers a message as the carrier does; <paramref name="token"/> is what it is signed with, <paramref name="handled"/> the keyword it took it for.</summary>
    public async Task<int> Deliver(string sid, string text, int media = 0, string token = Token, string to = Patients, string from = Patient, string query = "", string mediaAt = "https://carrier.example/media/", string calls = Public, string? handled = null)
    {
        var fields = new Dictionary<string, string> { ["MessageSid"] = sid, ["From"] = from, ["To"] = to, ["Body"] = text, ["NumMedia"] = media.ToString() };
        if (handled is not null) fields["OptOutType"] = handled;
        for (var i = 0; i < media; i++) fields[$"MediaUrl{i}"] = mediaAt + i;
        return await Send("/carrier/inbound" + query, fields, token, calls);
    }

    /// <summary>Reports the status of one text as the carrier does.</summary>
    public Task<int> Report(Guid outgoing, string status, int? code = 30003) =>
        Send($"/carrier/delivery?o={outgoing}", new() { ["MessageSid"] = "SM9", ["MessageStatus"] = status, ["ErrorCode"] = code?.ToString() ?? "" }, Token);

    /// <summary>Presses a key during a test page by voice.</summary>
    public Task<int> PressInTest(Guid test, string called, string digit) =>
        Send($"/carrier/voice/test?t={test}", new() { ["CallSid"] = "CA2", ["To"] = called, ["Digits"] = digit }, Token);

    /// <summary>Presses a key during a call to one number; <paramref name="round"/>: the round of pages the call belongs to, as in the address the call was given.</summary>
    public Task<int> Press(Guid escalation, string called, string digit, int round = 1) =>
        Send($"/carrier/voice/ack?e={escalation}&r={round}", new() { ["CallSid"] = "CA1", ["To"] = called, ["Digits"] = digit }, Token);

    /// <summary>Sends something that is no proper form.</summary>
    public async Task<int> Post(HttpContent content)
    {
        using var answer = await _carrier.PostAsync("/carrier/inbound", content);
        return (int)answer.StatusCode;
    }

    private async Task<int> Send(string path, Dictionary<string, string> fields, string token, string calls = Public)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, path) { Content = new FormUrlEncodedContent(fields) };
        request.Headers.Add("X-Twilio-Signature", Sign(calls + path, fields, token));
        using var answer = await _carrier.SendAsync(request);
        return (int)answer.StatusCode;
    }

    /// <summary>Cuts the line to the carrier: no connection comes about any more.</summary>
    public async Task CutTheLine()
    {
        _lineAt = _phone!.Urls.Single();
        await _phone.DisposeAsync();
        _phone = null;
    }

    /// <summary>Mends the line that was cut.</summary>
    public Task MendTheLine() => OpenTheLine(_lineAt);

    private Task OpenTheLine(string at)
    {
        _phone = WebApplication.Create([$"--urls={at}", "--Logging:LogLevel:Default=Warning"]);
        Carrier.Map(_phone);
        return _phone.StartAsync();
    }

    /// <summary>Runs everything due.</summary>
    public Task<int> RunJobs() => _app!.Services.GetRequiredService<JobRunner>().RunDue();

    /// <summary>Starts the workers, each on its own, as a running portal has them. They end with the portal.</summary>
    public Task StartWorkers() => _app!.Services.GetRequiredService<JobRunner>().StartAsync(default);

    /// <summary>One of the portal's parts.</summary>
    internal T Part<T>() where T : notnull => _app!.Services.GetRequiredService<T>();

    /// <summary>Asks the carrier what it holds; returns how many messages no webhook had brought.</summary>
    internal Task<int> Sweep() => _app!.Services.GetRequiredService<InboundSweep>().Run(default);

    /// <summary>From now on the carrier answers nothing at all.</summary>
    internal Task LoseCarrier() => _phone!.StopAsync();

    /// <summary>What an outside watchdog is told: a status of HTTP.</summary>
    internal async Task<int> Health()
    {
        using var answer = await _carrier.GetAsync("/health");
        return (int)answer.StatusCode;
    }

    /// <summary>Reads from the clinic's rows.</summary>
    internal async Task<T> Read<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = _app!.Services.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(Clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    // The carrier's documented rule: HMAC-SHA1 over the address and every field, names in ordinal order.
    private static string Sign(string url, Dictionary<string, string> fields, string token) =>
        Convert.ToBase64String(HMACSHA1.HashData(
            Encoding.UTF8.GetBytes(token),
            Encoding.UTF8.GetBytes(url + string.Concat(fields.OrderBy(f => f.Key, StringComparer.Ordinal).Select(f => f.Key + f.Value)))));
}
