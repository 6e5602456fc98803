using System.Net;
using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Consent;
using AftercarePortal.Web.Features.Patients;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.AspNetCore.Mvc.RazorPages.Infrastructure;
using Microsoft.AspNetCore.Routing;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;
using Table = AftercarePortal.Web.Access.Access;

namespace AftercarePortal.Web.Tests.Staff;

/// <summary>A staff session whose screen is in a patient's hands opens one page and nothing else, until password and code unlock it.</summary>
public sealed class Handing_over_a_screen : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, patient;
    private string screen = "";

    public async Task InitializeAsync()
    {
        portal = await Open();
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
        screen = $"/Consent/{patient}/lower-face";
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private static bool IsTheLock(HttpResponseMessage answer) => answer.StatusCode is HttpStatusCode.Redirect && answer.Headers.Location!.OriginalString.Split('?')[0] == "/Staff/Unlock";

    // Routes with something in the place of each parameter.
    private string AddressOf(string route) => "/" + string.Join('/', route.Split('/').Select(part => part.StartsWith('{') ? part.Contains("guid", StringComparison.Ordinal) || part is "{id}" or "{id?}" ? patient.ToString() : part.Contains("int", StringComparison.Ordinal) ? "1" : "x" : part));

    [Fact]
    public async Task Every_other_staff_address_leads_to_the_lock_also_when_typed_and_in_a_second_window()
    {
        await HandOver(desk, screen);
        Assert.Contains("Consent to injections of the lower face", await desk.GetStringAsync(screen));
        var open = new List<string>();
        foreach (var (route, who) in Table.Table.Where(line => line.Value is Who.Staff or Who.PracticeLead or Who.Patient or Who.AtTheDoor or Who.SigningIn))
        {
            var answer = await desk.GetAsync(AddressOf(route));
            if (answer.StatusCode is not HttpStatusCode.Redirect || !IsTheLock(answer)) open.Add($"{who} {route}: {answer.StatusCode} {answer.Headers.Location}");
        }

        Assert.Empty(open);
        Assert.True(Table.Table.Count(line => line.Value is Who.Staff) > 40);
        // The page as it is, with whatever stands behind a question mark, stays the patient's.
        Assert.Equal(HttpStatusCode.OK, (await desk.GetAsync(screen + "?Done=" + patient)).StatusCode);
        Assert.DoesNotContain("href=\"/Patients\"", await desk.GetStringAsync(screen));
    }

    [Fact]
    public async Task Another_session_of_the_same_person_stays_free()
    {
        await HandOver(desk, screen);
        var phone = portal.Browser();
        await SignIn(phone);
        Assert.Equal(HttpStatusCode.OK, (await phone.GetAsync("/Escalations")).StatusCode);
        Assert.True(IsTheLock(await desk.GetAsync("/Escalations")));
    }

    [Fact]
    public async Task Password_and_code_unlock_it_and_nothing_less_does()
    {
        await HandOver(desk, screen);
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        var code = portal.CodeNow(portal.KeyOf("mara"));
        foreach (var (password, typed) in new[] { ("something else 12", code), (Password, "000000"), ("", code) })
        {
            Assert.Contains("did not unlock it", await (await Send(desk, "/Staff/Unlock", ("Password", password), ("Code", typed))).Content.ReadAsStringAsync());
            Assert.True(IsTheLock(await desk.GetAsync("/Patients")));
        }

        // Neither does the code alone at the door.
        Assert.Equal("/Staff/Unlock", (await desk.GetAsync("/Staff/SecondFactor")).Headers.Location!.OriginalString);
        var unlocked = await Send(desk, "/Staff/Unlock", ("Password", Password), ("Code", code));
        Assert.Equal($"/Consent/{patient}", unlocked.Headers.Location!.OriginalString);
        Assert.Equal(HttpStatusCode.OK, (await desk.GetAsync("/Patients")).StatusCode);
        Assert.NotNull(await InDatabase(db => db.LentScreens.Select(h => h.UnlockedAt).SingleAsync()));
    }

    [Fact]
    public async Task Wrong_tries_to_unlock_shut_the_lock_and_not_the_other_browsers_of_whoever_is_on_call()
    {
        var phone = portal.Browser();
        await SignIn(phone);
        await Send(phone, "/Staff/SignOut");
        await HandOver(desk, screen);
        for (var i = 0; i < 5; i++) await Send(desk, "/Staff/Unlock", ("Password", $"guess number {i}"), ("Code", "000000"));
        Assert.Equal(HttpStatusCode.OK, (await portal.TakeBack(desk, "mara")).StatusCode);
        await SignIn(phone);
        Assert.Equal(HttpStatusCode.OK, (await phone.GetAsync("/Escalations")).StatusCode);

        // Nor do guesses at the door of this browser, once the session was ended from the lock.
        await Post(desk, "/Staff/Unlock?handler=SignOut", await desk.GetStringAsync("/Staff/Unlock"));
        for (var i = 0; i < 5; i++) await portal.EnterPassword(desk, "mara", $"guess number {i}");
        await Send(phone, "/Staff/SignOut");
        await SignIn(phone);
        Assert.Equal(HttpStatusCode.OK, (await phone.GetAsync("/Escalations")).StatusCode);
    }

    [Fact]
    public async Task Strangers_guesses_at_the_door_keep_no_screen_locked()
    {
        await HandOver(desk, screen);
        var stranger = portal.Browser();
        for (var i = 0; i < 12; i++) await portal.EnterPassword(stranger, "mara", $"guess number {i}");
        Assert.Equal(HttpStatusCode.Redirect, (await portal.TakeBack(desk, "mara")).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await desk.GetAsync("/Patients")).StatusCode);
    }

    [Fact]
    public async Task Whoever_has_the_screen_cannot_shut_the_clinicians_own_phone_out_by_guesses_at_the_door()
    {
        var phone = portal.Browser();
        await SignIn(phone);
        await Send(phone, "/Staff/SignOut");
        var form = await desk.GetStringAsync("/Staff/SignIn");
        await HandOver(desk, screen);
        Assert.True(IsTheLock(await desk.GetAsync("/Staff/SignIn")));
        for (var i = 0; i < 6; i++) Assert.True(IsTheLock(await Post(desk, "/Staff/SignIn", form, ("UserName", "mara"), ("Password", $"guess number {i}"))));
        await SignIn(phone);
        Assert.Equal(HttpStatusCode.OK, (await phone.GetAsync("/Escalations")).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await portal.TakeBack(desk, "mara")).StatusCode);
    }

    [Fact]
    public async Task The_lock_opens_again_ten_minutes_after_five_wrong_tries()
    {
        await HandOver(desk, screen);
        for (var i = 0; i < 5; i++) await Send(desk, "/Staff/Unlock", ("Password", $"guess number {i}"), ("Code", "000000"));
        portal.Clock.Advance(TimeSpan.FromMinutes(10));
        Assert.Equal(HttpStatusCode.Redirect, (await portal.TakeBack(desk, "mara")).StatusCode);
    }

    [Fact]
    public async Task Unlocked_on_the_way_to_a_report_it_opens_the_report_and_never_a_page_elsewhere()
    {
        await HandOver(desk, screen);
        var report = $"/Escalations/{patient}";
        var theLock = (await desk.GetAsync(report)).Headers.Location!.OriginalString;
        Assert.Equal($"/Staff/Unlock?then={Uri.EscapeDataString(report)}", theLock);
        Assert.Equal(report, (await Unlock(theLock)).Headers.Location!.OriginalString);
        await HandOver(desk, screen);
        Assert.Equal($"/Consent/{patient}", (await Unlock("/Staff/Unlock?then=" + Uri.EscapeDataString("//elsewhere.example/a"))).Headers.Location!.OriginalString);
    }

    private async Task<HttpResponseMessage> Unlock(string theLock)
    {
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        return await Send(desk, theLock, ("Password", Password), ("Code", portal.CodeNow(portal.KeyOf("mara"))));
    }

    private async Task SignIn(HttpClient browser)
    {
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        await portal.EnterPassword(browser, "mara");
        await Send(browser, "/Staff/SecondFactor", ("Code", portal.CodeNow(portal.KeyOf("mara"))));
    }

    [Fact]
    public async Task A_copy_of_the_cookie_from_before_opens_the_patients_page_and_after_signing_out_nothing_while_a_new_session_is_free()
    {
        var copy = portal.CopyOf(desk);
        Assert.Equal(HttpStatusCode.OK, (await copy.GetAsync("/Patients")).StatusCode);
        await HandOver(desk, screen);
        Assert.True(IsTheLock(await copy.GetAsync("/Patients")));
        Assert.Equal(HttpStatusCode.OK, (await copy.GetAsync(screen)).StatusCode);
        var left = await Post(desk, "/Staff/Unlock?handler=SignOut", await desk.GetStringAsync("/Staff/Unlock"));
        Assert.Equal("/Staff/SignIn", left.Headers.Location!.OriginalString);
        await OpensNothing(copy);
        Assert.Equal("/Staff/SignIn", (await desk.GetAsync(screen)).Headers.Location!.AbsolutePath);
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        await portal.EnterPassword(desk, "mara");
        await Send(desk, "/Staff/SecondFactor", ("Code", portal.CodeNow(portal.KeyOf("mara"))));
        Assert.Equal(HttpStatusCode.OK, (await desk.GetAsync("/Patients")).StatusCode);
    }

    [Fact]
    public async Task A_copy_of_the_cookie_the_patient_had_opens_nothing_once_staff_have_unlocked_the_screen()
    {
        await HandOver(desk, screen);
        var copy = portal.CopyOf(desk);
        var form = await copy.GetStringAsync(screen);
        await portal.TakeBack(desk, "mara");
        Assert.Equal(HttpStatusCode.OK, (await desk.GetAsync("/Patients")).StatusCode);
        await OpensNothing(copy);
        Assert.Equal(HttpStatusCode.Unauthorized, (await Post(copy, screen, form, ("TypedName", "Patient of Wrenfold Clinic"), ("Agrees", "true"))).StatusCode);
        Assert.Equal(0, await InDatabase(db => db.Consents.CountAsync()));
    }

    private async Task OpensNothing(HttpClient copy)
    {
        foreach (var address in new[] { screen, "/Patients", "/Staff/Unlock", "/Staff/SecondFactor" })
            Assert.Contains("/Staff/SignIn", (await copy.GetAsync(address)).Headers.Location!.OriginalString, StringComparison.Ordinal);
    }

    [Fact]
    public async Task No_form_of_staff_can_be_sent_from_it()
    {
        var key = await desk.GetStringAsync("/Staff/SignOut");
        await HandOver(desk, screen);
        var (tried, open) = (0, new List<string>());
        foreach (var (route, handler) in await Forms())
        {
            var answer = await Post(desk, AddressOf(route) + (handler is null ? "" : $"?handler={handler}"), key, ("Name", "x"));
            if (answer.StatusCode is not HttpStatusCode.Locked && !IsTheLock(answer)) open.Add($"{route} {handler}: {answer.StatusCode}");
            tried++;
        }

        Assert.Empty(open);
        Assert.True(tried > 45, $"only {tried}");
        // Nothing a form could have done was done: the session is there, the screen still the patient's.
        Assert.Equal(HttpStatusCode.OK, (await desk.GetAsync(screen)).StatusCode);
    }

    // Every form of staff's pages, with the names of its buttons.
    private async Task<IReadOnlyList<(string Route, string? Handler)>> Forms()
    {
        var (loader, forms) = (portal.Parts.GetRequiredService<PageLoader>(), new List<(string, string?)>());
        foreach (var endpoint in portal.Parts.GetRequiredService<EndpointDataSource>().Endpoints.OfType<RouteEndpoint>())
            if (endpoint.Metadata.GetMetadata<PageActionDescriptor>() is { } page && endpoint.RoutePattern.RawText is { } route && Table.Table.GetValueOrDefault(route) is Who.Staff or Who.PracticeLead or Who.AtTheDoor or Who.SigningIn)
                forms.AddRange((await loader.LoadAsync(page, endpoint.Metadata)).HandlerMethods.Where(h => h.HttpMethod is "Post").Select(h => (route, h.Name)));
        return forms;
    }

    [Fact]
    public async Task What_staff_typed_in_another_window_is_not_stored_and_not_lost()
    {
        var entry = $"/Patients/Edit/{patient}";
        var form = await desk.GetStringAsync(entry);
        await HandOver(desk, screen);
        var answer = await Post(desk, entry, form, ("Name", "Renamed meanwhile"), ("Number", "+12125550150"), ("Language", "en"));
        var kept = await answer.Content.ReadAsStringAsync();
        Assert.Equal(HttpStatusCode.Locked, answer.StatusCode);
        Assert.Contains("value=\"Renamed meanwhile\"", kept);
        Assert.Equal("Patient of Wrenfold Clinic", await InDatabase(db => db.Patients.Select(p => p.Name).SingleAsync()));
        await portal.TakeBack(desk, "mara");
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, entry, kept)).StatusCode);
        Assert.Equal("Renamed meanwhile", await InDatabase(db => db.Patients.Select(p => p.Name).SingleAsync()));
    }

    [Fact]
    public async Task A_page_for_a_patient_opens_only_once_it_is_handed_over_and_only_such_a_page_can_be()
    {
        Assert.Equal($"/Staff/Lend?Screen={Uri.EscapeDataString(screen)}", (await desk.GetAsync(screen)).Headers.Location!.OriginalString);
        foreach (var other in new[]
                 {
                     "/Patients", "/Staff/Unlock", "https://elsewhere.example/Consent/a/b", "//elsewhere.example/b/c", "", screen + "?a=b", screen + "/", screen + "#a", $"/Consent/{patient}/a b", $"/Consent/{patient}/",
                     $"/Consent/Signed/{patient}", "/Consent/somebody/lower-face", $"/Treatment/Plan/{patient}x/Accept", $"/Treatment/Plan/{patient}/Accept?Done=1", $"/Treatment/Plan/{patient}/Kit", $"/Aftercare/ReviewQuestions/{patient:B}/en",
                 })
            Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync($"/Staff/Lend?Screen={Uri.EscapeDataString(other)}")).StatusCode);
        Assert.Equal(0, await InDatabase(db => db.LentScreens.CountAsync()));
    }

    [Fact]
    public async Task A_signature_sent_after_the_session_ended_is_kept_once_staff_signed_in_and_the_screen_is_the_patients_again()
    {
        await HandOver(desk, screen);
        var form = await desk.GetStringAsync(screen);
        portal.Clock.Advance(TimeSpan.FromMinutes(20));
        var ended = await Post(desk, screen, form, ("TypedName", "Patient of Wrenfold Clinic"), ("Agrees", "true"));
        Assert.Equal(HttpStatusCode.Unauthorized, ended.StatusCode);
        await portal.EnterPassword(desk, "mara");
        await Send(desk, "/Staff/SecondFactor", ("Code", portal.CodeNow(portal.KeyOf("mara"))));
        // Sent before staff hand the screen over again, it is kept all the same.
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, screen, await ended.Content.ReadAsStringAsync())).StatusCode);
        Assert.Equal(1, await InDatabase(db => db.Consents.CountAsync()));
        Assert.True(IsTheLock(await desk.GetAsync("/Patients")));
    }

    [Fact]
    public async Task A_patient_whose_screens_session_ended_reads_so_in_either_language_and_staff_are_led_back_to_that_very_screen()
    {
        await InDatabase(db => db.Patients.ExecuteUpdateAsync(set => set.SetProperty(p => p.Language, "es")));
        await HandOver(desk, screen);
        var form = await desk.GetStringAsync(screen);
        portal.Clock.Advance(TimeSpan.FromMinutes(20));
        var ended = WebUtility.HtmlDecode(await (await Post(desk, screen, form, ("TypedName", "Patient of Wrenfold Clinic"), ("Agrees", "true"))).Content.ReadAsStringAsync());
        Assert.Contains("<html lang=\"es\">", ended);
        Assert.True(ended.IndexOf("Devuelva el dispositivo al personal, por favor", StringComparison.Ordinal) is > 0 and var hers && hers < ended.IndexOf("Please give the device back to the staff", StringComparison.Ordinal));
        Assert.Contains("name=\"TypedName\" value=\"Patient of Wrenfold Clinic\"", ended);
        Assert.Contains("name=\"Agrees\" value=\"true\"", ended);

        // The link leads through the sign-in to handing over this screen, and the form is kept after that.
        var back = System.Text.RegularExpressions.Regex.Match(ended, "href=\"(/Staff/SignIn[^\"]+)\"").Groups[1].Value;
        var atTheCode = await Send(desk, back, ("UserName", "mara"), ("Password", Password));
        var lend = (await Send(desk, atTheCode.Headers.Location!.OriginalString, ("Code", portal.CodeNow(portal.KeyOf("mara"))))).Headers.Location!.OriginalString;
        Assert.Equal($"/Staff/Lend?Screen={Uri.EscapeDataString(screen)}", lend);
        Assert.Equal(screen, (await Send(desk, lend)).Headers.Location!.OriginalString);
        Assert.Equal(HttpStatusCode.Redirect, (await Post(desk, screen, ended)).StatusCode);
        Assert.Equal(("es", "Patient of Wrenfold Clinic"), await InDatabase(async db => await db.Consents.Select(c => new ValueTuple<string, string>(c.Language, c.SignedAs)).SingleAsync()));
    }

    [Theory]
    [InlineData("//elsewhere.example/a")]
    [InlineData("https://elsewhere.example/a")]
    [InlineData("/\\elsewhere.example")]
    public async Task The_sign_in_never_leads_elsewhere(string then)
    {
        await Send(desk, "/Staff/SignOut");
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        var atTheCode = await Send(desk, $"/Staff/SignIn?then={Uri.EscapeDataString(then)}", ("UserName", "mara"), ("Password", Password));
        Assert.Equal("/Escalations", (await Send(desk, atTheCode.Headers.Location!.OriginalString, ("Code", portal.CodeNow(portal.KeyOf("mara"))))).Headers.Location!.OriginalString);
    }

    [Fact]
    public async Task Of_two_pages_handed_over_at_once_one_is_open()
    {
        var plan = $"/Treatment/Plan/{patient}/Accept";
        var both = await desk.GetStringAsync($"/Staff/Lend?Screen={Uri.EscapeDataString(screen)}");
        await Task.WhenAll(Post(desk, "/Staff/Lend", both), Post(desk, "/Staff/Lend", both.Replace(screen, plan)));
        var locked = new List<bool>();
        foreach (var page in new[] { screen, plan }) locked.Add((await desk.GetAsync(page)).Headers.Location?.OriginalString == "/Staff/Unlock");
        Assert.Single(locked, true);
        await portal.TakeBack(desk, "mara");
        Assert.Equal(HttpStatusCode.OK, (await desk.GetAsync("/Patients")).StatusCode);
    }
}
