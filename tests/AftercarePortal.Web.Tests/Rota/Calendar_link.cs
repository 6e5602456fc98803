using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Rota;

public sealed class Calendar_link : IAsyncLifetime
{
    private Portal_with_staff _portal = null!;
    private HttpClient _hale = null!;
    private Guid _clinic;

    public async Task InitializeAsync()
    {
        _portal = await Portal_with_staff.Open("--Carrier:PublicUrl=https://portal.example");
        (_clinic, _) = await _portal.Clinic("Wrenfold Clinic", 1);
        _hale = await _portal.SignedIn(_clinic, "hale");
        await _portal.Hire(_clinic, "reed");
        foreach (var user in new[] { "hale", "reed" })
            await Read(async db =>
            {
                var now = _portal.Clock.GetCurrentInstant();
                db.Add(new ShiftRow { Person = await db.StaffOfClinic.Where(s => s.UserName == user).Select(s => s.Id).SingleAsync(), Number = "+12125550160", Order = 1, From = now, To = now + Duration.FromHours(12) });
                return await db.SaveChangesAsync();
            });
    }

    public async Task DisposeAsync()
    {
        _hale.Dispose();
        await _portal.DisposeAsync();
    }

    [Theory]
    [InlineData("Mine", 1, false)]
    [InlineData("Clinic", 2, true)]
    public async Task Shows_shifts_without_sign_in_until_it_is_revoked(string which, int shifts, bool names)
    {
        var page = await (await Tap(which)).Content.ReadAsStringAsync();
        var link = new Uri(Regex.Match(page, "id=\"new-link\">([^<]+)<").Groups[1].Value).PathAndQuery;
        using var anybody = _portal.Browser();
        var answer = await anybody.GetAsync(link);
        var text = await answer.Content.ReadAsStringAsync();
        Assert.Equal("text/calendar", answer.Content.Headers.ContentType!.MediaType);
        Assert.Equal(shifts, Regex.Count(text, "BEGIN:VEVENT"));
        Assert.Equal(names, text.Contains("Dr reed", StringComparison.Ordinal));
        foreach (var secret in new[] { "Patient of", "12125550150", "12125550160" }) Assert.DoesNotContain(secret, text);

        var id = await Read(db => db.CalendarFeeds.Select(f => f.Id).SingleAsync());
        Assert.DoesNotContain(link.Split('/')[^1][..^4], await Read(db => db.CalendarFeeds.Select(f => f.SecretHash).SingleAsync()));
        await Tap($"Revoke&id={id}");
        Assert.Equal(HttpStatusCode.NotFound, (await anybody.GetAsync(link)).StatusCode);
    }

    [Fact]
    public async Task Ends_after_a_year()
    {
        var link = new Uri(Regex.Match(await (await Tap("Clinic")).Content.ReadAsStringAsync(), "id=\"new-link\">([^<]+)<").Groups[1].Value).PathAndQuery;
        using var anybody = _portal.Browser();
        _portal.Clock.Advance(TimeSpan.FromDays(364));
        Assert.Equal(HttpStatusCode.OK, (await anybody.GetAsync(link)).StatusCode);
        _portal.Clock.Advance(TimeSpan.FromDays(1));
        Assert.Equal(HttpStatusCode.NotFound, (await anybody.GetAsync(link)).StatusCode);
    }

    [Fact]
    public async Task Of_somebody_else_is_revoked_by_the_practice_lead_only()
    {
        await Tap("Mine");
        var id = await Read(db => db.CalendarFeeds.Select(f => f.Id).SingleAsync());
        using var other = await _portal.SignedIn(_clinic, "vale");
        Assert.Equal(HttpStatusCode.NotFound, (await Tap($"Revoke&id={id}", other)).StatusCode);
        using var lead = await _portal.SignedIn(_clinic, "moss", StaffRole.PracticeLead);
        Assert.Equal(HttpStatusCode.Redirect, (await Tap($"Revoke&id={id}", lead)).StatusCode);
    }

    [Fact]
    public async Task A_file_is_looked_at_first_and_then_added_once_with_its_test_pages()
    {
        const string file = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//EN\r\nBEGIN:VEVENT\r\nUID:1\r\nDTSTAMP:20310501T000000Z\r\nSUMMARY:Dr reed nights\r\n"
            + "DTSTART;TZID=America/New_York:20310520T200000\r\nDTEND;TZID=America/New_York:20310521T080000\r\nRRULE:FREQ=DAILY;COUNT=2\r\nEND:VEVENT\r\n"
            + "BEGIN:VEVENT\r\nUID:2\r\nDTSTAMP:20310501T000000Z\r\nSUMMARY:Party <b>\r\nDTSTART:20310520T200000Z\r\nDTEND:20310520T210000Z\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
        var token = Regex.Match(await _hale.GetStringAsync("/Staff/SignIn"), "name=\"__RequestVerificationToken\"[^>]*value=\"([^\"]+)\"").Groups[1].Value;
        using var form = new MultipartFormDataContent { { new StringContent(file), "Calendar", "rota.ics" }, { new StringContent(""), "Person" }, { new StringContent("2"), "Order" }, { new StringContent(token), "__RequestVerificationToken" } };
        var preview = await (await _hale.PostAsync("/Rota/Import?handler=Look", form)).Content.ReadAsStringAsync();
        Assert.Contains("Tue 20 May 2031, 20:00 to Wed 21 May 2031, 08:00", preview);
        Assert.Contains("2 shifts, 1 left out", preview);
        Assert.Contains("Party &lt;b&gt;, Tue", preview.Replace("Party &lt;b&gt;: left", "Party &lt;b&gt;, Tue"));
        Assert.Equal(2, await Read(db => db.Shifts.CountAsync()));

        for (var i = 0; i < 2; i++) await Portal_with_staff.Post(_hale, "/Rota/Import?handler=Add", await _hale.GetStringAsync("/Staff/SignIn"), ("Text", file), ("Person", ""), ("Order", "2"));
        Assert.Equal(4, await Read(db => db.Shifts.CountAsync()));
        Assert.Equal(2, await Read(db => db.Jobs.CountAsync(j => j.Kind == RotaJobs.ShiftBegins)));
    }

    [Fact]
    public async Task A_file_whose_shift_moved_warns_of_the_overlap_and_takes_off_the_old_one_when_the_lead_ticks_it()
    {
        static string File(int begins) => "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//EN\r\nBEGIN:VEVENT\r\nUID:1\r\nDTSTAMP:20310501T000000Z\r\nSUMMARY:Dr reed nights\r\n"
            + $"DTSTART;TZID=America/New_York:20310520T{begins}0000\r\nDTEND;TZID=America/New_York:20310521T080000\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
        async Task<string> Send(string handler, int begins, params (string, string)[] more) => await (await Portal_with_staff.Post(
            _hale, $"/Rota/Import?handler={handler}", await _hale.GetStringAsync("/Staff/SignIn"), [("Text", File(begins)), ("Person", ""), ("Order", "2"), .. more])).Content.ReadAsStringAsync();
        await Send("Add", 20);
        var old = await Read(db => db.Shifts.Where(s => s.Order == 2).Select(s => s.Id).SingleAsync());

        var token = Regex.Match(await _hale.GetStringAsync("/Staff/SignIn"), "name=\"__RequestVerificationToken\"[^>]*value=\"([^\"]+)\"").Groups[1].Value;
        using var form = new MultipartFormDataContent { { new StringContent(File(22)), "Calendar", "rota.ics" }, { new StringContent(""), "Person" }, { new StringContent("2"), "Order" }, { new StringContent(token), "__RequestVerificationToken" } };
        var preview = await (await _hale.PostAsync("/Rota/Import?handler=Look", form)).Content.ReadAsStringAsync();
        Assert.Contains("Overlaps a shift on the rota", preview);
        Assert.Contains($"name=\"Off\" value=\"{old}\"", preview);

        Assert.Contains("1 shift added, 1 shift taken off", await Send("Add", 22, ("Off", old.ToString())));
        Assert.NotEqual(old, await Read(db => db.Shifts.Where(s => s.Order == 2).Select(s => s.Id).SingleAsync()));
    }

    private async Task<HttpResponseMessage> Tap(string handler, HttpClient? browser = null) =>
        await Portal_with_staff.Post(browser ?? _hale, $"/Rota/Calendars?handler={handler}", await (browser ?? _hale).GetStringAsync("/Staff/SignIn"));

    private async Task<T> Read<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }
}
