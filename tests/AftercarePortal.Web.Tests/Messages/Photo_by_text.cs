using System.Collections.Concurrent;
using System.Net;
using System.Text;
using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Testing;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;
using AftercarePortal.Web.Tests.Photos;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

/// <summary>A photo from the carrier's webhook to the encrypted row, over HTTP.</summary>
public sealed class Photo_by_text : IAsyncLifetime
{
    private static readonly (byte[], string) Photo = (Drawn.JpegWithExif(6), "image/jpeg");
    private readonly Listening_portal _portal = new();

    public Task InitializeAsync() => _portal.InitializeAsync();

    public Task DisposeAsync() => _portal.DisposeAsync();

    [Fact]
    public async Task Comes_ten_times_with_one_message()
    {
        Assert.Equal(HttpStatusCode.OK, await Text("look", [.. Enumerable.Repeat(Photo, 10)]));
        Assert.Equal(10, (await Rows()).Count(p => p.State is PhotoState.Waiting));
        await _portal.RunJobs();
        var rows = await Rows();
        Assert.Equal(Enumerable.Range(0, 10), rows.Select(p => p.Index));
        Assert.All(rows, p => Assert.Equal((PhotoState.Kept, 80, 120, "image/jpeg"), (p.State, p.Width, p.Height, p.ContentType)));
    }

    [Fact]
    [Source("libheif, examples/example.heic", at: "1280 x 854 pixels")]
    public async Task As_telephones_keep_it_is_kept_as_a_picture_that_every_browser_shows()
    {
        await Text("look", (File.ReadAllBytes(Path.Combine(OpenData.Folder, "images", "heic", "example.heic")), "image/heic"));
        await _portal.RunJobs();
        var kept = Assert.Single(await Rows());
        Assert.Equal((PhotoState.Kept, 1280, 854, "image/heic"), (kept.State, kept.Width, kept.Height, kept.ContentType));
        Assert.Equal([0xFF, 0xD8, 0xFF], _portal.Part<PhotoStore>().Open(kept, small: false)![..3]);
    }

    [Fact]
    public async Task Delivered_twice_is_fetched_once()
    {
        await _portal.Deliver("MM1", "look", media: 2);
        await _portal.Deliver("MM1", "look", media: 2);
        Assert.Equal(2, (await Rows()).Count);
        Assert.Equal(2, await _portal.Read(db => db.Jobs.CountAsync(j => j.Kind == MessageJobs.FetchMedia)));
    }

    [Fact]
    public async Task Whose_job_runs_twice_is_kept_once()
    {
        await Text("look", Photo);
        await _portal.RunJobs();
        var before = Assert.Single(await Rows());
        await _portal.Read(db =>
        {
            db.Enqueue(MessageJobs.FetchMedia, before.Id.ToString(), _portal.Time.GetCurrentInstant());
            return db.SaveChangesAsync();
        });
        await _portal.RunJobs();
        Assert.Equal(before.Sealed!, Assert.Single(await Rows()).Sealed!);
    }

    [Fact]
    public async Task That_fails_twice_is_asked_for_again_and_kept()
    {
        _portal.Carrier.Media.NextFaults.Enqueue(503);
        _portal.Carrier.Media.NextFaults.Enqueue(401);
        await Text("look", Photo);
        await _portal.RunJobs();
        Assert.Equal(PhotoState.Waiting, Assert.Single(await Rows()).State);
        await Wait(TimeSpan.FromSeconds(5));
        Assert.Equal(PhotoState.Waiting, Assert.Single(await Rows()).State);
        await Wait(TimeSpan.FromSeconds(5));
        Assert.Equal(PhotoState.Kept, Assert.Single(await Rows()).State);
    }

    [Fact]
    public async Task Of_a_carrier_that_was_away_for_hours_still_comes()
    {
        _portal.Carrier.Media.Before = () => throw new InvalidOperationException("away");
        await Text("look", Photo);
        for (var i = 0; i < 30; i++) await Wait(TimeSpan.FromMinutes(10));
        Assert.Equal(PhotoState.Waiting, Assert.Single(await Rows()).State);
        _portal.Carrier.Media.Before = () => Task.CompletedTask;
        await Wait(TimeSpan.FromMinutes(10));
        Assert.Equal(PhotoState.Kept, Assert.Single(await Rows()).State);
    }

    [Fact]
    public async Task That_never_comes_is_given_up_after_a_day()
    {
        _portal.Carrier.Media.Before = () => throw new InvalidOperationException("away");
        await Text("look", Photo);
        await Wait(TimeSpan.FromHours(23));
        Assert.Equal(PhotoState.Waiting, Assert.Single(await Rows()).State);
        await Wait(TimeSpan.FromHours(1));
        Assert.Equal(PhotoState.Gone, Assert.Single(await Rows()).State);
    }

    [Theory]
    [InlineData(403)]
    [InlineData(404)]
    [InlineData(410)]
    public async Task The_carrier_says_it_does_not_have_for_some_seconds_is_asked_for_again_and_kept(int status)
    {
        _portal.Carrier.Media.NextFaults.Enqueue(status);
        await Text("look", Photo);
        await _portal.RunJobs();
        Assert.Equal(PhotoState.Waiting, Assert.Single(await Rows()).State);
        await Wait(TimeSpan.FromSeconds(5));
        Assert.Equal(PhotoState.Kept, Assert.Single(await Rows()).State);
    }

    [Fact]
    public async Task The_carrier_has_no_longer_is_given_up_after_six_hours_and_the_report_says_once_that_the_patient_is_to_be_asked_again()
    {
        _portal.Carrier.Media.Before = () =>
        {
            _portal.Carrier.Media.NextFaults.Enqueue(404);
            return Task.CompletedTask;
        };
        await Text("look", Photo, Photo);
        await _portal.RunJobs();
        await Wait(TimeSpan.FromHours(5));
        Assert.All(await Rows(), p => Assert.Equal(PhotoState.Waiting, p.State));
        Assert.DoesNotContain(await Happened(), e => e is EscalationEvent.PhotoNotFetched);
        await Wait(TimeSpan.FromHours(1));
        Assert.All(await Rows(), p => Assert.Equal(PhotoState.Gone, p.State));
        await Wait(TimeSpan.FromMinutes(10));
        Assert.Single(await Happened(), e => e is EscalationEvent.PhotoNotFetched);
    }

    [Fact]
    public async Task At_another_hosts_address_is_not_opened_and_a_person_still_looks()
    {
        await using var stranger = await Stranger.Start();
        await _portal.Deliver("MM1", "", media: 1, mediaAt: $"{stranger.Url}/2010-04-01/Accounts/{Listening_portal.Account}/Messages/MM1/Media/ME{new string('a', 31)}");
        await _portal.RunJobs();
        Assert.Equal(PhotoState.Refused, Assert.Single(await Rows()).State);
        Assert.Contains(await Happened(), e => e is EscalationEvent.PhotoNotFetched);
        Assert.Equal(0, stranger.Visits);
        Assert.NotNull(Assert.Single(await _portal.Read(db => db.Escalations.ToListAsync())));
    }

    [Theory]
    [InlineData("")]
    [InlineData("not an address ")]
    [InlineData("file:///etc/passwd")]
    [InlineData("http://user@127.0.0.1/2010-04-01/Accounts/AC00000000000000000000000000000000/Messages/MM1/Media/ME0000000000000000000000000000000")]
    public async Task At_no_address_of_the_carriers_is_not_opened(string address)
    {
        await _portal.Deliver("MM1", "look", media: 1, mediaAt: address);
        await _portal.RunJobs();
        Assert.Equal(PhotoState.Refused, Assert.Single(await Rows()).State);
    }

    [Theory]
    [InlineData("AC00000000000000000000000000000000/Messages/MM2/Media/ME")]
    [InlineData("AC11111111111111111111111111111111/Messages/MM1/Media/ME")]
    [InlineData("AC00000000000000000000000000000000/Messages/MM1/Media/../../../Messages.json?")]
    public async Task At_the_carriers_but_of_another_message_or_account_is_not_opened(string path)
    {
        var asked = 0;
        _portal.Carrier.Media.Before = () => Task.FromResult(asked++);
        var carrier = _portal.Part<IOptions<CarrierOptions>>().Value.BaseUrl;
        await _portal.Deliver("MM1", "look", media: 1, mediaAt: $"{carrier}/2010-04-01/Accounts/{path}{new string('a', 31)}");
        await _portal.RunJobs();
        Assert.Equal((PhotoState.Refused, 0), (Assert.Single(await Rows()).State, asked));
    }

    [Fact]
    public async Task The_carrier_redirects_to_an_unknown_host_is_not_opened()
    {
        await using var stranger = await Stranger.Start();
        _portal.Carrier.Media.NextRedirects.Enqueue(stranger.Url + "/storage/1");
        await Text("look", Photo);
        await _portal.RunJobs();
        Assert.Equal((PhotoState.Refused, 0), (Assert.Single(await Rows()).State, stranger.Visits));
    }

    [Fact]
    public async Task Too_large_is_not_taken_whether_or_not_its_length_is_told()
    {
        foreach (var hidden in new[] { false, true })
        {
            _portal.Carrier.Media.HidesLength = hidden;
            await Text("look", (new byte[SafePicture.MostBytes + 1], "image/jpeg"));
            await _portal.RunJobs();
        }

        Assert.All(await Rows(), p => Assert.Equal((PhotoState.Unreadable, true), (p.State, p.Sealed is null)));
    }

    [Fact]
    public async Task That_is_none_is_kept_as_it_came()
    {
        await Text("look", (Encoding.ASCII.GetBytes("a film"), "video/mp4"));
        await _portal.RunJobs();
        var row = Assert.Single(await Rows());
        Assert.Equal((PhotoState.Unreadable, "video/mp4"), (row.State, row.ContentType));
        Assert.Equal("a film", Encoding.ASCII.GetString(_portal.Part<PhotoStore>().OpenOriginal(row)!));
    }

    [Fact]
    public async Task No_webhook_brought_is_found_in_the_carriers_list()
    {
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "look", Photo, Photo);
        Assert.Equal(1, await _portal.Sweep());
        await _portal.RunJobs();
        Assert.Equal([PhotoState.Kept, PhotoState.Kept], (await Rows()).Select(p => p.State));
    }

    [Fact]
    public async Task Of_which_the_carriers_list_does_not_show_all_yet_is_fetched_once_it_does_and_none_twice()
    {
        _portal.Carrier.Media.MostListed = 1;
        _portal.Carrier.TextWithoutWebhook(Listening_portal.Patient, Listening_portal.Patients, "look", (Encoding.ASCII.GetBytes("a film"), "video/mp4"), (Encoding.ASCII.GetBytes("another"), "video/mp4"));
        Assert.Equal(1, await _portal.Sweep());
        await _portal.RunJobs();
        _portal.Carrier.Media.MostListed = 2;
        await Wait(TimeSpan.FromMinutes(1));
        Assert.Equal(["a film", "another"], (await Rows()).Select(row => Encoding.ASCII.GetString(_portal.Part<PhotoStore>().OpenOriginal(row)!)).Order());
    }

    [Fact]
    public async Task That_hangs_holds_up_no_reading_and_no_reply()
    {
        var (asked, release) = (new TaskCompletionSource(), new TaskCompletionSource());
        var replied = new ConcurrentDictionary<string, TaskCompletionSource>();
        _portal.Carrier.Media.Before = () =>
        {
            asked.TrySetResult();
            return release.Task;
        };
        _portal.Carrier.Took += line => replied.GetOrAdd(line.To, _ => new()).TrySetResult();
        await _portal.StartWorkers();
        await Text("look", [.. Enumerable.Repeat(Photo, 10)]);
        await asked.Task.WaitAsync(TimeSpan.FromSeconds(20));

        // A worker that took a photo after a reply would be seen with it by the time of the next.
        for (var i = 0; i < 6; i++)
        {
            var patient = $"+1202555013{i}";
            await _portal.Deliver($"SM{i}", "my skin has gone white", from: patient);
            await replied.GetOrAdd(patient, _ => new()).Task.WaitAsync(TimeSpan.FromSeconds(20));
            Assert.InRange(await _portal.Read(db => db.Jobs.CountAsync(j => j.Kind == MessageJobs.FetchMedia && j.LeasedUntil != null && j.DoneAt == null)), 0, 1);
        }

        Assert.All(await Rows(), p => Assert.Equal(PhotoState.Waiting, p.State));
        release.SetResult();
    }

    private Task<HttpStatusCode> Text(string body, params (byte[], string)[] files) => _portal.Carrier.Text(Listening_portal.Patient, Listening_portal.Patients, body, files);

    private async Task Wait(TimeSpan time)
    {
        _portal.Time.Advance(time);
        await _portal.RunJobs();
    }

    private Task<List<EscalationEvent>> Happened() => _portal.Read(db => db.EscalationEvents.Select(e => e.What).ToListAsync());

    private Task<List<PhotoRow>> Rows() => _portal.Read(db => db.Photos.AsNoTracking().OrderBy(p => p.Index).ToListAsync());

    /// <summary>A host nobody should be sent to.</summary>
    private sealed class Stranger : IAsyncDisposable
    {
        private readonly WebApplication _app = WebApplication.Create(["--urls=http://127.0.0.1:0", "--Logging:LogLevel:Default=None"]);

        public int Visits { get; private set; }

        public string Url => _app.Urls.Single();

        public static async Task<Stranger> Start()
        {
            var stranger = new Stranger();
            stranger._app.MapFallback(() =>
            {
                stranger.Visits++;
                return Results.Bytes(Drawn.Jpeg(), "image/jpeg");
            });
            await stranger._app.StartAsync();
            return stranger;
        }

        public ValueTask DisposeAsync() => _app.DisposeAsync();
    }
}
