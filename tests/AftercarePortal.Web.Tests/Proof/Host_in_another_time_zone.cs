using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Builder;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Proof;

/// <summary>The program on a host whose clock does not show UTC, and a carrier whose answer to a page was lost: what its list says is read in the right hour.</summary>
public sealed class Host_in_another_time_zone : IAsyncLifetime
{
    private const string Account = "AC00000000000000000000000000000000", Token = "demo-token", OnCall = "+12025550131", Words = "URGENT patient report, ref 7KQ";
    private static readonly Guid Clinic = Guid.Parse("01890a5d-ac96-774b-bcce-b302099a8001");
    private readonly ITestDatabase _database = ITestDatabase.Sqlite();
    private readonly DirectoryInfo _keys = Directory.CreateTempSubdirectory("aftercare-zone-");
    private readonly string _url = $"http://127.0.0.1:{FreePort.Take()}";
    private readonly WebApplication _phone = WebApplication.Create(["--urls=http://127.0.0.1:0", "--Logging:LogLevel:Default=None"]);
    private readonly LoopbackCarrier _carrier;

    public Host_in_another_time_zone() => _carrier = new LoopbackCarrier(Account, Token, new Uri(_url), _url);

    public Task InitializeAsync()
    {
        _carrier.Map(_phone);
        return _phone.StartAsync();
    }

    public async Task DisposeAsync()
    {
        await _phone.DisposeAsync();
        _database.Dispose();
        _keys.Delete(recursive: true);
    }

    [Fact]
    public async Task West_of_UTC_a_page_whose_answer_was_lost_is_found_and_not_sent_again()
    {
        _carrier.NextLostAnswers.Enqueue(503);
        var page = await SentFrom("America/Los_Angeles");
        Assert.Equal(Assert.Single(_carrier.Lines).Sid, page.CarrierId);
    }

    [Fact]
    public async Task East_of_UTC_no_text_of_hours_ago_with_the_same_words_is_taken_for_a_page_that_never_left()
    {
        _carrier.Lines.Enqueue(new("SM-of-hours-ago", "+12025550101", OnCall, Words, IsCall: false, DateTimeOffset.UtcNow.AddHours(-4)));
        _carrier.NextFaults.Enqueue(503);
        var page = await SentFrom("Asia/Tokyo");
        Assert.Equal(2, _carrier.Lines.Count);
        Assert.NotEqual("SM-of-hours-ago", page.CarrierId);
    }

    private async Task<OutgoingRow> SentFrom(string zone)
    {
        await using (var db = _database.Open(Clinic))
        {
            db.Add(new ClinicRow
            {
                Id = Clinic, Name = "Wrenfold Clinic", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "202-555-0142",
                PatientNumber = "+12025550100", PageNumber = "+12025550101", QuietFrom = new(21, 0), QuietTo = new(8, 0),
            });
            await db.QueueOnce("a page", OutgoingKind.PageText, "+12025550101", OnCall, Words, SystemClock.Instance.GetCurrentInstant(), default);
            await db.SaveChangesAsync();
        }

        using var portal = new Portal_process(
            zone, _url, _database, _keys.FullName,
            [$"--Carrier:AccountSid={Account}", $"--Carrier:AuthToken={Token}", $"--Carrier:PublicUrl={_url}", $"--Carrier:BaseUrl={_phone.Urls.Single()}", "--Carrier:ListSeconds=15", $"--Photos:Key={Convert.ToBase64String(new byte[32])}"]);
        await portal.Ready();
        await Until.True("the carrier has the page", async () => (await Page()).State is OutgoingState.Accepted);
        return await Page();
    }

    private async Task<OutgoingRow> Page()
    {
        await using var db = _database.Open(Clinic);
        return await db.Outgoing.AsNoTracking().SingleAsync();
    }
}
