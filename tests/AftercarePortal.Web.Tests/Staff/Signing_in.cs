using System.Net;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Staff;

public sealed class Signing_in
{
    [Fact]
    public async Task The_password_alone_opens_no_record()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        var browser = portal.Browser();
        var entered = await portal.EnterPassword(browser, "mara");
        Assert.Equal("/Staff/Enrol", entered.Headers.Location!.OriginalString);

        var record = await browser.GetAsync($"/Treatment/Record/{patient}");
        Assert.Equal(HttpStatusCode.Redirect, record.StatusCode);
        Assert.Equal("/Staff/SignIn", record.Headers.Location!.AbsolutePath);
    }

    [Fact]
    public async Task Password_and_code_open_the_record()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        Assert.Equal(HttpStatusCode.OK, (await browser.GetAsync($"/Treatment/Record/{patient}")).StatusCode);
    }

    [Fact]
    public async Task Every_later_sign_in_asks_for_a_code_and_shows_the_key_no_more()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        var first = portal.Browser();
        await portal.EnterPassword(first, "mara");
        var (key, _) = await portal.Enrol(first);

        var second = portal.Browser();
        Assert.Equal("/Staff/SecondFactor", (await portal.EnterPassword(second, "mara")).Headers.Location!.OriginalString);
        Assert.Equal("/Staff/SecondFactor", (await second.GetAsync("/Staff/Enrol")).Headers.Location!.OriginalString);
        var reused = await Send(second, "/Staff/SecondFactor", ("Code", portal.CodeNow(key)));
        Assert.Equal(HttpStatusCode.OK, reused.StatusCode);                              // the page again, with its refusal
        Assert.Equal(HttpStatusCode.Redirect, (await second.GetAsync($"/Treatment/Record/{patient}")).StatusCode);

        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        var fresh = await Send(second, "/Staff/SecondFactor", ("Code", portal.CodeNow(key)));
        Assert.Equal("/Escalations", fresh.Headers.Location!.OriginalString);
        Assert.Equal(HttpStatusCode.OK, (await second.GetAsync($"/Treatment/Record/{patient}")).StatusCode);
    }

    [Fact]
    public async Task Five_wrong_passwords_shut_the_door_to_the_right_one()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        var browser = portal.Browser();
        for (var i = 0; i < 5; i++) await portal.EnterPassword(browser, "mara", "something else 12");
        Assert.Equal(HttpStatusCode.OK, (await portal.EnterPassword(browser, "mara")).StatusCode);
    }

    [Fact]
    public async Task Five_wrong_codes_shut_the_door_to_the_right_one()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        var browser = portal.Browser();
        await portal.EnterPassword(browser, "mara");
        for (var i = 0; i < 5; i++) await Send(browser, "/Staff/Enrol", ("Code", "none"));
        Assert.Equal(HttpStatusCode.OK, (await portal.Enrol(browser)).Answer.StatusCode);
    }

    [Fact]
    public async Task The_door_opens_again_after_ten_minutes()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        var browser = portal.Browser();
        for (var i = 0; i < 5; i++) await portal.EnterPassword(browser, "mara", "something else 12");
        portal.Clock.Advance(TimeSpan.FromMinutes(10));
        Assert.Equal(HttpStatusCode.Redirect, (await portal.EnterPassword(browser, "mara")).StatusCode);
    }

    [Fact]
    public async Task A_stranger_who_guesses_does_not_lock_out_the_browser_that_signed_in_before()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        var known = await portal.SignedIn(clinic, "mara");
        await Send(known, "/Staff/SignOut");
        var stranger = portal.Browser();
        for (var i = 0; i < 12; i++) await portal.EnterPassword(stranger, "mara", $"guess number {i}");

        Assert.Equal(HttpStatusCode.OK, (await portal.EnterPassword(portal.Browser(), "mara")).StatusCode);
        Assert.Equal("/Staff/SecondFactor", (await portal.EnterPassword(known, "mara")).Headers.Location!.OriginalString);
    }

    [Fact]
    public async Task A_known_browser_has_five_tries_as_well()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        var known = await portal.SignedIn(clinic, "mara");
        await Send(known, "/Staff/SignOut");
        for (var i = 0; i < 5; i++) await portal.EnterPassword(known, "mara", $"guess number {i}");
        Assert.Equal(HttpStatusCode.OK, (await portal.EnterPassword(known, "mara")).StatusCode);
    }

    [Fact]
    public async Task A_browser_known_for_one_name_is_a_stranger_to_another()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        var known = await portal.SignedIn(clinic, "mara");
        await Send(known, "/Staff/SignOut");
        await portal.Hire(clinic, "noor");
        for (var i = 0; i < 5; i++) await portal.EnterPassword(known, "noor", $"guess number {i}");
        Assert.Equal(HttpStatusCode.OK, (await portal.EnterPassword(portal.Browser(), "noor")).StatusCode);
        Assert.Equal("/Staff/SecondFactor", (await portal.EnterPassword(known, "mara")).Headers.Location!.OriginalString);
    }

    [Fact]
    public async Task Forty_guesses_at_once_are_no_more_than_five()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        await using var scope = portal.Parts.CreateAsyncScope();
        var id = (await scope.ServiceProvider.GetRequiredService<UserManager<StaffRow>>().FindByNameAsync("mara"))!.Id;
        var taken = await Task.WhenAll(Enumerable.Range(0, 40).Select(_ => Task.Run(async () =>
        {
            await using var own = portal.Parts.CreateAsyncScope();
            return await own.ServiceProvider.GetRequiredService<DoorTries>().Take(new DoorTries.Of.Strangers(id));
        })));
        Assert.Equal(5, taken.Count(t => t));
    }

    [Fact]
    public async Task A_right_password_does_not_wash_away_the_wrong_codes()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        var browser = portal.Browser();
        await portal.EnterPassword(browser, "mara");
        for (var i = 0; i < 5; i++)
        {
            await Send(browser, "/Staff/Enrol", ("Code", "none"));
            await portal.EnterPassword(browser, "mara");
        }

        Assert.Equal(HttpStatusCode.OK, (await portal.Enrol(browser)).Answer.StatusCode);
    }

    [Fact]
    public async Task Fifteen_idle_minutes_end_it()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        portal.Clock.Advance(TimeSpan.FromMinutes(16));
        Assert.Equal(HttpStatusCode.Redirect, (await browser.GetAsync($"/Treatment/Record/{patient}")).StatusCode);
    }

    [Fact]
    public async Task Signing_out_ends_it()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        await Send(browser, "/Staff/SignOut");
        Assert.Equal(HttpStatusCode.Redirect, (await browser.GetAsync($"/Treatment/Record/{patient}")).StatusCode);
    }

    [Fact]
    public async Task It_leads_back_to_the_page_asked_for_and_to_no_other_site()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        var browser = portal.Browser();
        await portal.EnterPassword(browser, "mara");
        var (key, _) = await portal.Enrol(browser);

        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        var here = await Send(browser, $"/Staff/SecondFactor?Then=%2FTreatment%2FRecord%2F{patient}", ("Code", portal.CodeNow(key)));
        Assert.Equal($"/Treatment/Record/{patient}", here.Headers.Location!.OriginalString);
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        var elsewhere = await Send(browser, "/Staff/SecondFactor?Then=https%3A%2F%2Felsewhere.example%2F", ("Code", portal.CodeNow(key)));
        Assert.Equal("/Escalations", elsewhere.Headers.Location!.OriginalString);
    }

    [Fact]
    public async Task A_new_key_or_password_turns_older_cookies_away()
    {
        await using var portal = await Open();
        var (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        await using (var scope = portal.Parts.CreateAsyncScope())
        {
            var staff = scope.ServiceProvider.GetRequiredService<UserManager<StaffRow>>();
            await staff.UpdateSecurityStampAsync((await staff.FindByNameAsync("mara"))!);
        }

        Assert.Equal(HttpStatusCode.Redirect, (await browser.GetAsync($"/Treatment/Record/{patient}")).StatusCode);
    }

    [Fact]
    public async Task The_cookie_is_out_of_reach_of_scripts_and_other_sites()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        var cookie = (await portal.EnterPassword(portal.Browser(), "mara")).Headers.GetValues("Set-Cookie").Single(c => c.StartsWith("staff="));
        Assert.Contains("httponly", cookie, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("samesite=lax", cookie, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task Over_https_the_cookie_is_bound_to_the_host()
    {
        await using var portal = await Open("--Staff:Https=true");
        var options = portal.Parts
            .GetRequiredService<Microsoft.Extensions.Options.IOptionsMonitor<Microsoft.AspNetCore.Authentication.Cookies.CookieAuthenticationOptions>>().Get("Cookies");
        Assert.Equal("__Host-staff", options.Cookie.Name);
        Assert.Equal(Microsoft.AspNetCore.Http.CookieSecurePolicy.Always, options.Cookie.SecurePolicy);
        Assert.True(options.Cookie.HttpOnly);
    }

    [Fact]
    public async Task A_key_seen_on_an_earlier_page_is_not_the_one_that_is_proved()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        await portal.Hire(clinic, "mara");
        var (thief, mara) = (portal.Browser(), portal.Browser());
        await portal.EnterPassword(thief, "mara");
        var seen = await thief.GetStringAsync("/Staff/Enrol");
        await portal.EnterPassword(mara, "mara");
        var (key, enrolled) = await portal.Enrol(mara);
        Assert.Equal(HttpStatusCode.Redirect, enrolled.StatusCode);
        Assert.NotEqual(KeyOn(seen), key);
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        // Neither the key seen before nor the form that showed it opens anything any more.
        await Post(thief, "/Staff/Enrol", seen, ("Code", portal.CodeNow(KeyOn(seen))));
        Assert.Equal("/Staff/SignIn", (await thief.GetAsync("/Escalations")).Headers.Location!.AbsolutePath);
        await portal.EnterPassword(thief, "mara");
        Assert.Equal(HttpStatusCode.OK, (await Send(thief, "/Staff/SecondFactor", ("Code", portal.CodeNow(KeyOn(seen))))).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await Send(thief, "/Staff/SecondFactor", ("Code", portal.CodeNow(key)))).StatusCode);
    }

    [Fact]
    public async Task A_form_to_enrol_made_for_somebody_else_or_made_up_proves_nothing()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        foreach (var name in new[] { "mara", "noor" }) await portal.Hire(clinic, name);
        var (mara, noor) = (portal.Browser(), portal.Browser());
        await portal.EnterPassword(mara, "mara");
        await portal.EnterPassword(noor, "noor");
        var maras = await mara.GetStringAsync("/Staff/Enrol");
        var sealedKey = System.Text.RegularExpressions.Regex.Match(maras, "name=\"Sealed\" value=\"([^\"]+)\"").Groups[1].Value;
        var noors = (await noor.GetStringAsync("/Staff/Enrol")).Replace("name=\"Sealed\"", "name=\"Other\"");
        foreach (var other in new[] { sealedKey, "made up", "" })
            Assert.Equal(HttpStatusCode.OK, (await Post(noor, "/Staff/Enrol", noors, ("Sealed", other), ("Code", portal.CodeNow(KeyOn(maras))))).StatusCode);
    }

    [Fact]
    public async Task Signed_out_a_copy_of_the_cookie_opens_nothing_and_another_session_goes_on()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        var (copy, phone) = (portal.CopyOf(browser), portal.Browser());
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        await portal.EnterPassword(phone, "mara");
        await Send(phone, "/Staff/SecondFactor", ("Code", portal.CodeNow(portal.KeyOf("mara"))));
        await Send(browser, "/Staff/SignOut");
        Assert.Equal("/Staff/SignIn", (await copy.GetAsync("/Escalations")).Headers.Location!.AbsolutePath);
        Assert.Equal(HttpStatusCode.OK, (await phone.GetAsync("/Escalations")).StatusCode);
    }

    [Fact]
    public async Task However_busy_a_session_ends_after_a_long_shift()
    {
        await using var portal = await Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        var browser = await portal.SignedIn(clinic, "mara");
        for (var minutes = 0; minutes < 12 * 60 - 10; minutes += 10)
        {
            Assert.Equal(HttpStatusCode.OK, (await browser.GetAsync("/Escalations")).StatusCode);
            portal.Clock.Advance(TimeSpan.FromMinutes(10));
        }

        Assert.Equal(HttpStatusCode.OK, (await browser.GetAsync("/Escalations")).StatusCode);
        portal.Clock.Advance(TimeSpan.FromMinutes(10));
        Assert.Equal("/Staff/SignIn", (await browser.GetAsync("/Escalations")).Headers.Location!.AbsolutePath);
    }

    [Fact]
    public async Task Many_tries_from_one_address_are_asked_to_wait_unless_the_browser_is_known()
    {
        await using var portal = await Open("--Staff:MostTries=8");
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        var known = await portal.SignedIn(clinic, "mara");
        await Send(known, "/Staff/SignOut");
        var stranger = portal.Browser();
        HttpResponseMessage refused;
        var tried = 0;
        do refused = await portal.EnterPassword(stranger, $"nobody{tried}", "a guess of a password");
        while (refused.StatusCode is HttpStatusCode.OK && ++tried < 200);
        Assert.InRange(tried, 7, 199);      // a slow machine gives some back meanwhile
        Assert.Equal(HttpStatusCode.TooManyRequests, refused.StatusCode);
        Assert.Contains("too many tries", await refused.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Equal("/Staff/SecondFactor", (await portal.EnterPassword(known, "mara")).Headers.Location!.OriginalString);
    }
}
