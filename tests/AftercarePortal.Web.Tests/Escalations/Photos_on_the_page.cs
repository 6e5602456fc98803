using System.Net;
using System.Text.Json;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Photos;
using AftercarePortal.Web.Tests.Photos;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Escalations;

/// <summary>What staff see of a patient's photos, and who else sees nothing.</summary>
public sealed class Photos_on_the_page : IAsyncLifetime
{
    private Portal_with_staff _portal = null!;
    private HttpClient _browser = null!;
    private Guid _clinic;
    private EscalationRow _report = null!;
    private MessageRow _message = null!;

    public async Task InitializeAsync()
    {
        _portal = await Portal_with_staff.Open();
        (_clinic, var patient) = await _portal.Clinic("Wrenfold Clinic", 1);
        _browser = await _portal.SignedIn(_clinic, "hale");
        var now = _portal.Clock.GetCurrentInstant();
        _message = new MessageRow
        {
            ClinicId = _clinic, CarrierId = "MM1", From = "+12125550150", To = "+12125550111", Text = "", MediaCount = 1, RawForm = "", ReceivedAt = now, WrittenAt = now,
        };
        _report = new EscalationRow
        {
            Id = Guid.CreateVersion7(), ClinicId = _clinic, PatientId = patient, Number = _message.From, Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = now, WrittenAt = now, OpenKey = _message.From,
        };
        var reading = new Reading(new("lower-face", 1), Tier.Urgent, [], ["photo"]);
        await Write(_message, _report, new ReadingRow
        {
            ClinicId = _clinic, MessageId = _message.Id, EscalationId = _report.Id, Tier = Tier.Urgent, Version = "lower-face.v1", Json = JsonSerializer.Serialize(reading), ReadAt = now,
        });
    }

    public async Task DisposeAsync()
    {
        _browser.Dispose();
        await _portal.DisposeAsync();
    }

    [Fact]
    public async Task Are_small_pictures_with_their_time_that_lead_to_the_large_one()
    {
        var photo = await Keep(Drawn.JpegWithExif(6));
        var page = await Page();
        Assert.Contains($"src=\"/Escalations/Photos/{photo.Id}/Small\"", page);
        Assert.Contains("alt=\"Photo 1 from the patient, received 14 May 2031, 05:00. A photo on a screen can hide a change of colour: examine the patient.\"", page);

        using var large = await _browser.GetAsync($"/Escalations/Photos/{photo.Id}");
        using var small = await _browser.GetAsync($"/Escalations/Photos/{photo.Id}/Small");
        foreach (var answer in new[] { large, small })
        {
            Assert.Equal((HttpStatusCode.OK, "image/jpeg"), (answer.StatusCode, answer.Content.Headers.ContentType!.MediaType));
            Assert.True(answer.Headers.CacheControl!.NoStore);
            Assert.Equal("nosniff", answer.Headers.GetValues("X-Content-Type-Options").Single());
            Assert.Equal([0xFF, 0xD8, 0xFF], (await answer.Content.ReadAsByteArrayAsync())[..3]);
        }
    }

    [Fact]
    public async Task Are_said_to_be_fetched_until_they_come_and_after_two_minutes_not_to_be_waited_for()
    {
        var photo = await Add(new PhotoRow { ClinicId = _clinic, MessageId = _message.Id, Index = 0 });
        Assert.Contains("being fetched", await Page());
        _portal.Clock.Advance(TimeSpan.FromMinutes(2));
        Assert.Contains("Do not wait for it: ring the patient", await Page());
        Assert.Equal(HttpStatusCode.NotFound, (await _browser.GetAsync($"/Escalations/Photos/{photo.Id}")).StatusCode);
    }

    [Fact]
    public async Task That_cannot_be_shown_say_so_and_can_only_be_saved()
    {
        var photo = await Keep([1, 2, 3], "image/heic");
        var page = await Page();
        Assert.Contains("a file we cannot show: ask for it again or ring", page);
        Assert.DoesNotContain("<img", page);
        Assert.Equal(HttpStatusCode.NotFound, (await _browser.GetAsync($"/Escalations/Photos/{photo.Id}")).StatusCode);

        Assert.Contains($"href=\"/Escalations/Photos/{photo.Id}/File\"", page);
        using var saved = await _browser.GetAsync($"/Escalations/Photos/{photo.Id}/File");
        Assert.Equal([1, 2, 3], await saved.Content.ReadAsByteArrayAsync());
        Assert.Equal("application/octet-stream", saved.Content.Headers.ContentType!.MediaType);
        Assert.Equal(("attachment", "file-1-from-the-patient.heic"), (saved.Content.Headers.ContentDisposition!.DispositionType, saved.Content.Headers.ContentDisposition.FileName));
    }

    [Fact]
    public async Task That_claim_to_be_a_web_page_are_saved_under_a_name_no_browser_opens()
    {
        var photo = await Keep("<script>alert(1)</script>"u8.ToArray(), "text/html");
        using var saved = await _browser.GetAsync($"/Escalations/Photos/{photo.Id}/File");
        Assert.Equal(("application/octet-stream", "file-1-from-the-patient.bin"), (saved.Content.Headers.ContentType!.MediaType, saved.Content.Headers.ContentDisposition!.FileName));
    }

    [Fact]
    public async Task Shown_are_never_given_out_with_their_metadata()
    {
        var photo = await Keep(Drawn.JpegWithExif(1));
        Assert.Equal(HttpStatusCode.NotFound, (await _browser.GetAsync($"/Escalations/Photos/{photo.Id}/File")).StatusCode);
    }

    [Theory]
    [InlineData(nameof(PhotoState.Gone), "could not be had from the carrier")]
    [InlineData(nameof(PhotoState.Refused), "its address is not the carrier&#x27;s")]
    public async Task That_never_came_say_why(string state, string words)
    {
        await Add(new PhotoRow { ClinicId = _clinic, MessageId = _message.Id, Index = 0, State = Enum.Parse<PhotoState>(state) });
        Assert.Contains(words, await Page());
    }

    [Fact]
    public async Task Do_not_exist_for_staff_of_another_clinic_or_for_a_visitor()
    {
        var photo = await Keep(Drawn.Jpeg());
        var (elsewhere, _) = await _portal.Clinic("Another Clinic", 2);
        using var stranger = await _portal.SignedIn(elsewhere, "stranger");
        using var visitor = _portal.Browser();
        foreach (var path in new[] { $"/Escalations/Photos/{photo.Id}", $"/Escalations/Photos/{photo.Id}/Small", $"/Escalations/Photos/{photo.Id}/File" })
        {
            Assert.Equal(HttpStatusCode.NotFound, (await stranger.GetAsync(path)).StatusCode);
            var sentAway = await visitor.GetAsync(path);
            Assert.Equal(HttpStatusCode.Redirect, sentAway.StatusCode);
            Assert.Contains("/Staff/SignIn", sentAway.Headers.Location!.ToString());
        }
    }

    [Fact]
    public async Task Changed_in_the_database_are_refused_with_a_plain_word()
    {
        var photo = await Keep(Drawn.Jpeg());
        await InClinic(async db =>
        {
            var row = await db.Photos.SingleAsync();
            var changed = row.Sealed!.ToArray();
            changed[^1] ^= 1;
            row.Sealed = changed;
            await db.SaveChangesAsync();
        });
        using var answer = await _browser.GetAsync($"/Escalations/Photos/{photo.Id}");
        Assert.Equal(HttpStatusCode.InternalServerError, answer.StatusCode);
        Assert.Contains("does not open", await answer.Content.ReadAsStringAsync());
    }

    private Task<string> Page() => _browser.GetStringAsync($"/Escalations/{_report.Id}");

    private Task<PhotoRow> Keep(byte[] file, string claimed = "image/jpeg")
    {
        var row = new PhotoRow { ClinicId = _clinic, MessageId = _message.Id, Index = 0 };
        _portal.Parts.GetRequiredService<PhotoStore>().Keep(row, file, SafePicture.From(file), claimed, _portal.Clock.GetCurrentInstant());
        return Add(row);
    }

    private async Task<PhotoRow> Add(PhotoRow row)
    {
        await Write(row);
        return row;
    }

    private Task Write(params object[] rows) => InClinic(async db =>
    {
        db.AddRange(rows);
        await db.SaveChangesAsync();
    });

    private async Task InClinic(Func<PortalDb, Task> act)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }
}
