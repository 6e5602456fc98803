using System.Net;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Operations;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Rota;

/// <summary>The clock stands at 05:00 on 14 May 2031 in New York.</summary>
public sealed class Rota_page : IAsyncLifetime
{
    private Portal_with_staff _portal = null!;
    private HttpClient _browser = null!;
    private Guid _clinic;

    public async Task InitializeAsync()
    {
        _portal = await Portal_with_staff.Open("--Carrier:PublicUrl=https://portal.example");
        (_clinic, _) = await _portal.Clinic("Wrenfold Clinic", 1);
        await _portal.Hire(_clinic, "reed");
        _browser = await _portal.SignedIn(_clinic, "hale");
    }

    public async Task DisposeAsync()
    {
        _browser.Dispose();
        await _portal.DisposeAsync();
    }

    [Fact]
    public async Task Adds_a_shift_on_the_clinics_wall_clock_with_the_persons_own_number()
    {
        Assert.Equal(HttpStatusCode.Redirect, (await Add("Dr hale", "2031-05-14T20:00", "2031-05-15T08:00")).StatusCode);
        var shift = Assert.Single(await Shifts());
        Assert.Equal((await Id("Dr hale"), "+12125550160", Instant.FromUtc(2031, 5, 15, 0, 0), Instant.FromUtc(2031, 5, 15, 12, 0)), (shift.Person, shift.Number, shift.From, shift.To));
        Assert.Contains("Wed 14 May 2031, 20:00", await Page());
    }

    [Fact]
    public async Task Names_the_year_at_both_ends_of_a_shift()
    {
        await Add("Dr hale", "2031-12-31T20:00", "2032-12-31T08:00");
        await Add("Dr reed", "2032-11-29T20:00", "2033-01-01T08:00");
        var page = await Page();
        Assert.Contains("Wed 31 December 2031, 20:00 to Fri 31 December 2032, 08:00", page);
        Assert.Contains("Mon 29 November 2032, 20:00 to Sat 1 January 2033, 08:00", page);
    }

    [Theory]
    [InlineData("Dr nobody", "2031-05-14T20:00", "2031-05-15T08:00", "Choose somebody of your staff.")]
    [InlineData("Dr hale", "", "2031-05-15T08:00", "Give the day and time it begins.")]
    [InlineData("Dr hale", "2031-05-14T20:00", "2031-05-14T20:00", "A shift ends after it begins.")]
    [InlineData("Dr hale", "2031-05-13T20:00", "2031-05-14T04:59", "This shift would be over already.")]
    public async Task Says_what_is_wrong_and_adds_nothing(string person, string from, string to, string says)
    {
        Assert.Contains(says, await (await Add(person, from, to)).Content.ReadAsStringAsync());
        Assert.Empty(await Shifts());
    }

    [Fact]
    public async Task Warns_of_a_gap_and_of_two_people_in_one_place()
    {
        await Add("Dr hale", "2031-05-13T20:00", "2031-05-30T08:00");
        await Add("Dr reed", "2031-05-15T20:00", "2031-05-16T08:00");
        Assert.Contains("Dr hale and Dr reed are both number 1 from Thu 15 May 2031, 20:00 to Fri 16 May 2031, 08:00.", await Page());
        Assert.DoesNotContain("Nobody is on call", await Page());
    }

    [Fact]
    public async Task Swapped_in_the_middle_the_past_stays_and_the_rest_is_somebody_elses()
    {
        await Add("Dr hale", "2031-05-13T20:00", "2031-05-14T20:00");
        await Post($"Swap&id={(await Shifts())[0].Id}", ("Person", await Id("Dr reed")));
        Assert.Equal([(await Id("Dr hale"), Now), (await Id("Dr reed"), Instant.FromUtc(2031, 5, 15, 0, 0))], (await Shifts()).OrderBy(s => s.From).Select(s => (s.Person, s.To)));
    }

    [Fact]
    public async Task Left_ends_now_and_a_shift_to_come_is_gone()
    {
        await Add("Dr hale", "2031-05-13T20:00", "2031-05-14T20:00");
        await Add("Dr reed", "2031-05-15T20:00", "2031-05-16T08:00");
        foreach (var shift in await Shifts()) await Post($"Leave&id={shift.Id}");
        Assert.Equal([(await Id("Dr hale"), Now)], (await Shifts()).Select(s => (s.Person, s.To)));
        Assert.Contains("Nobody is on call from Wed 14 May 2031, 05:00 to Wed 28 May 2031, 05:00.", await Page());
    }

    [Fact]
    public async Task Leave_takes_its_days_out_of_every_shift_and_the_rest_stays_theirs()
    {
        await Add("Dr hale", "2031-05-13T20:00", "2031-05-15T08:00");
        await Add("Dr hale", "2031-05-15T20:00", "2031-05-16T08:00");
        await Add("Dr hale", "2031-05-16T20:00", "2031-05-18T08:00");
        await Add("Dr reed", "2031-05-15T20:00", "2031-05-16T08:00", order: 2);
        Assert.Equal(HttpStatusCode.Redirect, (await Away("Dr hale", "2031-05-14T20:00", "2031-05-17T12:00")).StatusCode);
        Assert.Equal(
            [("Dr hale", "14 00:00", "15 00:00"), ("Dr hale", "17 16:00", "18 12:00"), ("Dr reed", "16 00:00", "16 12:00")],
            await Spans());
        var page = await Page();
        Assert.Contains("Dr hale</strong> is away from Wed 14 May 2031, 20:00 to Sat 17 May 2031, 12:00.", page);
        Assert.Contains("Nobody is on call from Wed 14 May 2031, 20:00 to Thu 15 May 2031, 20:00.", page);
    }

    [Fact]
    public async Task Somebody_away_is_given_no_shift_until_they_are_there_after_all()
    {
        await Away("Dr hale", "2031-05-16T08:00", "2031-05-20T08:00");
        await Away("Dr hale", "2031-05-16T08:00", "2031-05-20T08:00");          // sent twice: one press takes it back
        Assert.Contains("Dr hale is away from Fri 16 May 2031, 08:00 to Tue 20 May 2031, 08:00.", await (await Add("Dr hale", "2031-05-15T20:00", "2031-05-16T08:01")).Content.ReadAsStringAsync());
        Assert.Equal(HttpStatusCode.Redirect, (await Add("Dr hale", "2031-05-15T20:00", "2031-05-16T08:00")).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await Add("Dr reed", "2031-05-16T20:00", "2031-05-17T08:00")).StatusCode);
        var reeds = (await Shifts()).MaxBy(s => s.From)!;
        Assert.Contains($"href=\"#swap-{reeds.Id}\">Dr hale is away", await (await Post($"Swap&id={reeds.Id}", ("Person", await Id("Dr hale")))).Content.ReadAsStringAsync());
        Assert.Equal(reeds.Person, (await Shifts()).MaxBy(s => s.From)!.Person);
        await Post($"Back&id={System.Text.RegularExpressions.Regex.Match(await Page(), "handler=Back&amp;id=([0-9a-f-]{36})|id=([0-9a-f-]{36})&amp;handler=Back").Groups.Values.Last(g => g.Success).Value}");
        Assert.Equal(HttpStatusCode.Redirect, (await Add("Dr hale", "2031-05-17T20:00", "2031-05-18T08:00")).StatusCode);
        Assert.Contains("Nobody, as far as the rota knows.", await Page());
    }

    [Theory]
    [InlineData("Dr nobody", "2031-05-14T20:00", "2031-05-15T08:00", "Choose somebody of your staff.")]
    [InlineData("Dr hale", "soon", "2031-05-15T08:00", "Give the day and time they leave.")]
    [InlineData("Dr hale", "2031-05-14T20:00", "", "Give the day and time they are back.")]
    [InlineData("Dr hale", "2031-05-14T20:00", "2031-05-14T20:00", "Nobody is back before they leave.")]
    [InlineData("Dr hale", "2031-05-13T20:00", "2031-05-14T04:59", "This would be over already.")]
    public async Task Leave_that_cannot_be_is_said_to_be_wrong_and_takes_no_shift(string person, string from, string to, string says)
    {
        await Add("Dr hale", "2031-05-13T20:00", "2031-05-15T08:00");
        Assert.Contains(says, await (await Away(person, from, to)).Content.ReadAsStringAsync());
        Assert.Equal(("Dr hale", "14 00:00", "15 12:00"), Assert.Single(await Spans()));
    }

    [Fact]
    public async Task Of_another_clinic_changes_nothing_here()
    {
        await Add("Dr hale", "2031-05-13T20:00", "2031-05-14T20:00");
        var (elsewhere, _) = await _portal.Clinic("Another Clinic", 2);
        using var stranger = await _portal.SignedIn(elsewhere, "stranger");
        var page = await stranger.GetStringAsync(new Uri("/Rota", UriKind.Relative));
        Assert.DoesNotContain("Dr hale", page);
        page = await stranger.GetStringAsync(new Uri("/Staff/SignIn", UriKind.Relative));      // one form, one token
        Assert.Equal(HttpStatusCode.NotFound, (await Portal_with_staff.Post(stranger, $"/Rota?handler=Leave&id={(await Shifts())[0].Id}", page)).StatusCode);
    }

    [Fact]
    public async Task A_gap_alarms_those_on_call_a_day_ahead_and_everyone_two_hours_ahead_each_once()
    {
        await Add("Dr hale", "2031-05-13T20:00", "2031-05-15T12:00");           // from here on nobody: in 31 hours
        await Watch();
        Assert.Empty(await Alarms());
        _portal.Clock.Advance(TimeSpan.FromHours(8));
        await Watch();
        await Watch();
        Assert.Equal([("Dr hale", OutgoingKind.PageText)], await Alarms());
        _portal.Clock.Advance(TimeSpan.FromHours(21.5));
        await Watch();
        await Watch();
        _portal.Clock.Advance(TimeSpan.FromDays(3));                            // in the gap
        await Watch();
        Assert.Equal(
            [("Dr hale", OutgoingKind.PageCall), ("Dr hale", OutgoingKind.PageText), ("Dr hale", OutgoingKind.PageText), ("Dr reed", OutgoingKind.PageCall), ("Dr reed", OutgoingKind.PageText)],
            await Alarms());
    }

    [Fact]
    public async Task Keeps_who_changed_what_also_of_a_shift_taken_away_before_it_began()
    {
        await Add("Dr reed", "2031-05-20T20:00", "2031-05-21T08:00");
        await Post($"Swap&id={(await Shifts())[0].Id}", ("Person", await Id("Dr hale")));
        await Post($"Leave&id={(await Shifts())[0].Id}");
        Assert.Empty(await Shifts());
        var kept = await Read(async db =>
        {
            var names = await db.NamesOfStaff(default);
            return (await db.RotaChanges.OrderBy(c => c.Id).ToListAsync()).ConvertAll(c => (c.What, names.Of(c.Person), names.Of(c.By), $"{c.From:dd HH:mm}", $"{c.To:dd HH:mm}"));
        });
        Assert.Equal(
            new[] { (RotaChange.PutOn, "Dr reed"), (RotaChange.PutOn, "Dr hale"), (RotaChange.TakenOff, "Dr reed"), (RotaChange.TakenOff, "Dr hale") }.Order(),
            kept.Select(c => (c.What, c.Item2)).Order());
        Assert.All(kept, c => Assert.Equal(("Dr hale", "21 00:00", "21 12:00"), (c.Item3, c.Item4, c.Item5)));
        Assert.Contains("Dr reed taken off from Tue 20 May 2031, 20:00", await Page());
    }

    private Instant Now => _portal.Clock.GetCurrentInstant();

    private Task Watch() => _portal.Parts.GetRequiredService<RotaWatch>().Run(default);

    private async Task<string> Id(string name) => (await Read(db => db.StaffOfClinic.Where(s => s.FullName == name).Select(s => s.Id).SingleOrDefaultAsync())) ?? name;

    private async Task<HttpResponseMessage> Add(string person, string from, string to, int order = 1) => await Post("Add", ("Person", await Id(person)), ("From", from), ("To", to), ("Order", $"{order}"));

    private async Task<HttpResponseMessage> Away(string person, string from, string to) => await Post("Away", ("AwayPerson", await Id(person)), ("AwayFrom", from), ("AwayTo", to));

    /// <summary>Who has which shift, by day and hour in UTC: the clinic's clock is four hours behind.</summary>
    private Task<List<(string Person, string From, string To)>> Spans() =>
        Read(async db =>
        {
            var names = await db.NamesOfStaff(default);
            return (await db.Shifts.OrderBy(s => s.Person).ThenBy(s => s.From).ToListAsync()).Select(s => (names.Of(s.Person), $"{s.From:dd HH:mm}", $"{s.To:dd HH:mm}")).OrderBy(s => s).ToList();
        });

    private async Task<HttpResponseMessage> Post(string handler, params (string, string)[] typed) =>
        await Portal_with_staff.Post(_browser, $"/Rota?handler={handler}", await _browser.GetStringAsync(new Uri("/Staff/SignIn", UriKind.Relative)), typed);

    private Task<string> Page() => _browser.GetStringAsync(new Uri("/Rota", UriKind.Relative));

    private Task<List<ShiftRow>> Shifts() => Read(db => db.Shifts.ToListAsync());

    private async Task<List<(string Person, OutgoingKind Kind)>> Alarms() =>
        [.. (await Read(async db =>
        {
            var names = await db.NamesOfStaff(default);
            return (await db.Outgoing.ToListAsync()).ConvertAll(o => (names.Of(o.Key.Split(':')[2]), o.Kind));
        })).OrderBy(o => o.Item1).ThenBy(o => o.Kind.ToString())];

    private async Task<T> Read<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }
}
