using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Staff;

public sealed partial class Leading_a_practice : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient lead = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Open();
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        lead = await portal.SignedIn(clinic, "reed", StaffRole.PracticeLead);
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private static (string, string)[] Somebody(string user = "noor", string number = "+12125550161", string name = "Noor Vale") =>
        [("UserName", user), ("FullName", name), ("PageNumber", number), ("Role", "Clinician")];

    private async Task<HttpResponseMessage> Add((string, string)[] typed) =>
        await Post(lead, "/Staff?handler=Add", Token().Match(await lead.GetStringAsync("/Staff")).Value, [.. typed, .. portal.ShownAgain("reed")]);

    private async Task<string> Add() => FirstPassword().Match(await (await Add(Somebody())).Content.ReadAsStringAsync()).Groups[1].Value;

    [Theory]
    [InlineData("/Staff")]
    [InlineData("/Settings")]
    [InlineData("/Settings/Rules")]
    public async Task A_clinician_who_does_not_lead_finds_nothing_there(string page)
    {
        var clinician = await portal.SignedIn(clinic, "mara");
        Assert.Equal(HttpStatusCode.NotFound, (await clinician.GetAsync(page)).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await lead.GetAsync(page)).StatusCode);
    }

    [Fact]
    public async Task Somebody_added_signs_in_with_the_password_shown_once_and_must_enrol()
    {
        var password = await Add();
        Assert.NotEmpty(password);
        Assert.DoesNotContain(password, await lead.GetStringAsync("/Staff"));
        var answer = await portal.EnterPassword(portal.Browser(), "noor", password);
        Assert.Contains("/Staff/Enrol", answer.Headers.Location!.OriginalString);
    }

    [Theory]
    [InlineData("", "+12125550161", "sign-in name")]
    [InlineData("no or", "+12125550161", "sign-in name")]
    [InlineData("noor", "212", "country code")]
    [InlineData("reed", "+12125550161", "taken")]
    [InlineData("noor", "+12125550161", "has this full name", "DR REED")]
    public async Task Somebody_who_cannot_be_added_is_refused_in_words_and_stays_as_typed(string user, string number, string problem, string name = "Noor Vale")
    {
        var html = await (await Add(Somebody(user, number, name))).Content.ReadAsStringAsync();
        Assert.Contains(problem, html);
        Assert.Contains($"value=\"{name}\"", html);
    }

    [Fact]
    public async Task Somebody_let_go_is_out_at_once_and_cannot_come_back()
    {
        var clinician = await portal.SignedIn(clinic, "mara");
        Assert.Equal(HttpStatusCode.OK, (await clinician.GetAsync("/Escalations")).StatusCode);
        var html = await lead.GetStringAsync("/Staff");
        await PostFor(lead, html, "LetGo", await IdOf("mara"));
        Assert.Equal(HttpStatusCode.Redirect, (await clinician.GetAsync("/Escalations")).StatusCode);
        Assert.Contains("do not match", await (await portal.EnterPassword(portal.Browser(), "mara")).Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task Somebody_let_go_gets_no_new_password_until_let_in_again()
    {
        await portal.SignedIn(clinic, "mara");
        var before = await lead.GetStringAsync("/Staff");
        await PostFor(lead, before, "LetGo", await IdOf("mara"));

        var refused = await (await PostFor(lead, before, "StartAnew", await IdOf("mara"))).Content.ReadAsStringAsync();      // a page opened before
        Assert.Contains("is let in no more", refused);
        Assert.False(FirstPassword().Match(refused).Success);
        Assert.Contains("do not match", await (await portal.EnterPassword(portal.Browser(), "mara")).Content.ReadAsStringAsync());

        var again = await (await PostFor(lead, refused, "LetInAgain", await IdOf("mara"))).Content.ReadAsStringAsync();
        var answer = await portal.EnterPassword(portal.Browser(), "mara", FirstPassword().Match(again).Groups[1].Value);
        Assert.Contains("/Staff/Enrol", answer.Headers.Location!.OriginalString);
    }

    [Fact]
    public async Task Whoever_lost_the_authenticator_starts_anew_and_the_old_sign_in_ends()
    {
        var clinician = await portal.SignedIn(clinic, "mara");
        var html = await (await PostFor(lead, await lead.GetStringAsync("/Staff"), "StartAnew", await IdOf("mara"))).Content.ReadAsStringAsync();
        Assert.Equal(HttpStatusCode.Redirect, (await clinician.GetAsync("/Escalations")).StatusCode);
        var answer = await portal.EnterPassword(portal.Browser(), "mara", FirstPassword().Match(html).Groups[1].Value);
        Assert.Contains("/Staff/Enrol", answer.Headers.Location!.OriginalString);
    }

    [Fact]
    public async Task Nobody_lets_herself_go()
    {
        var html = await (await PostFor(lead, await lead.GetStringAsync("/Staff"), "LetGo", await IdOf("reed"))).Content.ReadAsStringAsync();
        Assert.Contains("cannot let yourself go", html);
    }

    [Fact]
    public async Task Another_clinics_staff_cannot_be_touched()
    {
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        await portal.SignedIn(other, "otto");
        Assert.DoesNotContain("otto", await lead.GetStringAsync("/Staff"));
        Assert.Equal(HttpStatusCode.NotFound, (await PostFor(lead, await lead.GetStringAsync("/Staff"), "LetGo", await IdOf("otto"))).StatusCode);
    }

    [Fact]
    public async Task A_new_password_ends_the_old_one()
    {
        var clinician = await portal.SignedIn(clinic, "mara");
        Assert.Contains("does not match", await (await Send(clinician, "/Staff/Password", ("Old", "wrong wrong wrong"), ("New", "another long phrase"))).Content.ReadAsStringAsync());
        Assert.Equal(HttpStatusCode.Redirect, (await Send(clinician, "/Staff/Password", ("Old", Password), ("New", "another long phrase"))).StatusCode);
        Assert.Contains("do not match", await (await portal.EnterPassword(portal.Browser(), "mara")).Content.ReadAsStringAsync());
        Assert.Contains("/Staff/SecondFactor", (await portal.EnterPassword(portal.Browser(), "mara", "another long phrase")).Headers.Location!.OriginalString);
    }

    [Fact]
    public async Task Settings_sent_twice_are_changed_once_and_nobody_is_blamed_and_keeping_without_a_change_leaves_no_trace()
    {
        for (var round = 0; round < 4; round++)
        {
            var form = await lead.GetStringAsync("/Settings");
            var taps = await Task.WhenAll(Enumerable.Range(0, 3).Select(_ => Post(lead, "/Settings", form, Settings(name: $"Wrenfold {round}"))));
            foreach (var tap in taps) Assert.Contains("Kept.", await tap.Content.ReadAsStringAsync());
            Assert.Contains("Kept.", await (await Send(lead, "/Settings", Settings(name: $"Wrenfold {round}"))).Content.ReadAsStringAsync());
            Assert.Equal(round + 1, await InDatabase(db => db.ClinicChanges.CountAsync(c => c.ChangedBy == "Dr reed")));
        }
    }

    [Fact]
    public async Task Settings_are_changed_and_how_they_stood_is_kept()
    {
        var html = await (await Send(lead, "/Settings", Settings(name: "Wrenfold & Daughters"))).Content.ReadAsStringAsync();
        Assert.Contains("Kept.", html);
        Assert.Contains("Wrenfold &amp; Daughters", html);
        Assert.Contains("Daughters", await InDatabase(db => db.ClinicChanges.OrderByDescending(c => c.ChangedAt).Select(c => c.Json).FirstAsync()));
        Assert.Matches(@"Dr reed, [^<]*then Wrenfold &amp; Daughters[^<]*</li>\s*<li>Before the first change, [^<]*: as all stood then; [^<]*Wrenfold", await lead.GetStringAsync("/Settings"));
    }

    [Fact]
    public async Task An_older_page_does_not_put_an_emergency_number_back_that_was_changed_meanwhile()
    {
        var other = await portal.SignedIn(clinic, "ines", StaffRole.PracticeLead);
        var older = await other.GetStringAsync("/Settings");
        await Send(lead, "/Settings", Settings(emergency: "112"));
        var told = WebUtility.HtmlDecode(await (await Post(other, "/Settings", older, Settings(from: "20:00"))).Content.ReadAsStringAsync());
        Assert.Contains("Dr reed changed the settings since you opened this page", told);
        Assert.Contains("Local emergency number: now 112, yours 911", told);
        Assert.Contains("value=\"20:00\"", told);
        Assert.Equal("112", await InDatabase(db => db.Clinics.Where(c => c.Id == clinic).Select(c => c.EmergencyNumber).SingleAsync()));
        Assert.Contains("Kept.", await (await Post(other, "/Settings", told, Settings(emergency: "112", from: "20:00"))).Content.ReadAsStringAsync());
        Assert.Contains("Kept.", await (await Post(other, "/Settings", told, Settings(emergency: "112", from: "20:00"))).Content.ReadAsStringAsync());
        Assert.Equal(2, await InDatabase(db => db.ClinicChanges.CountAsync(c => c.ChangedBy.StartsWith("Dr "))));
    }

    [Fact]
    public async Task Of_two_who_change_the_settings_in_the_same_moment_one_is_told()
    {
        var other = await portal.SignedIn(clinic, "ines", StaffRole.PracticeLead);
        for (var round = 1; round < 6; round++)
        {
            var (mine, theirs) = (await lead.GetStringAsync("/Settings"), await other.GetStringAsync("/Settings"));
            var both = await Task.WhenAll(Post(lead, "/Settings", mine, Settings(emergency: $"11{round}")), Post(other, "/Settings", theirs, Settings(emergency: $"99{round}")));
            var said = await Task.WhenAll(both.Select(b => b.Content.ReadAsStringAsync()));
            Assert.Single(said, html => html.Contains("Kept.", StringComparison.Ordinal));
            Assert.Single(said, html => html.Contains("changed the settings since", StringComparison.Ordinal));
            Assert.Equal(round, await InDatabase(db => db.ClinicChanges.CountAsync(c => c.ChangedBy.StartsWith("Dr "))));
        }
    }

    [Theory]
    [InlineData("zone", "Mars/Olympus", "IANA")]
    [InlineData("emergency", "help", "emergency number")]
    [InlineData("line", "", "clinic&#x27;s line")]
    [InlineData("from", "25:00", "quiet hours")]
    [InlineData("prices", "nobody-prices.v1", "price list")]
    [InlineData("hold", "49", "50 to 95")]
    [InlineData("hold", "96", "50 to 95")]
    [InlineData("hold", "nine in ten", "50 to 95")]
    [InlineData("hold", "", "50 to 95")]
    public async Task A_setting_that_cannot_be_is_refused_and_nothing_changes(string what, string value, string problem)
    {
        var html = await (await Send(lead, "/Settings", Settings(
            zone: what == "zone" ? value : "America/New_York", emergency: what == "emergency" ? value : "911", line: what == "line" ? value : "202-555-0142",
            from: what == "from" ? value : "21:00", prices: what == "prices" ? value : "", hold: what == "hold" ? value : "80"))).Content.ReadAsStringAsync();
        Assert.Contains(problem, html, StringComparison.OrdinalIgnoreCase);
        Assert.Equal(0, await InDatabase(db => db.ClinicChanges.CountAsync()));
        Assert.Equal("911", await InDatabase(db => db.Clinics.Where(c => c.Id == clinic).Select(c => c.EmergencyNumber).SingleAsync()));
    }

    private static (string, string)[] Settings(
        string name = "Wrenfold Clinic", string zone = "America/New_York", string emergency = "911", string line = "202-555-0142", string from = "21:00", string prices = "", string hold = "80") =>
        [("Form.Name", name), ("Form.Zone", zone), ("Form.EmergencyNumber", emergency), ("Form.ClinicLine", line), ("Form.QuietFrom", from), ("Form.QuietTo", "08:00"), ("Form.PriceList", prices), ("Form.RangesHold", hold)];

    private Task<HttpResponseMessage> PostFor(HttpClient browser, string html, string handler, string id) =>
        Post(browser, $"/Staff/Change/{id}?handler={handler}", Token().Match(html).Value, portal.ShownAgain("reed"));

    private Task<string> IdOf(string userName) => InDatabase(db => db.Staff.Where(s => s.UserName == userName).Select(s => s.Id).SingleAsync());

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    [GeneratedRegex("id=\"first-password\">([^<]+)<")]
    private static partial Regex FirstPassword();

    [GeneratedRegex("<input name=\"__RequestVerificationToken\"[^>]*>")]
    private static partial Regex Token();
}
