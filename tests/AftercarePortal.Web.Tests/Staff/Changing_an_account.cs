using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Staff;

/// <summary>A lead's session alone takes over nobody's account: password and code are asked again, the act is kept, and the person hears it.</summary>
public sealed class Changing_an_account : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient lead = null!, mara = null!;
    private Guid clinic;
    private string marasId = "";

    public async Task InitializeAsync()
    {
        portal = await Open("--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9");
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        lead = await portal.SignedIn(clinic, "reed", StaffRole.PracticeLead);
        mara = await portal.SignedIn(clinic, "mara");
        marasId = await InDatabase(db => db.Staff.Where(s => s.UserName == "mara").Select(s => s.Id).SingleAsync());
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private static string PasswordOn(string page) => Regex.Match(page, "id=\"first-password\">([^<]+)<").Groups[1].Value;

    private string Page => $"/Staff/Change/{marasId}";

    private Task<HttpResponseMessage> Press(string act, string form, params (string, string)[] shown) => Post(lead, $"{Page}?handler={act}", form, shown);

    [Theory]
    [InlineData("StartAnew")]
    [InlineData("LetGo")]
    public async Task Needs_the_leads_own_password_and_a_new_code(string act)
    {
        var form = await lead.GetStringAsync(Page);
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        var code = portal.CodeNow(portal.KeyOf("reed"));
        foreach (var shown in new (string, string)[][] { [], [("OwnPassword", Password)], [("OwnPassword", Password), ("OwnCode", "000000")], [("OwnPassword", "guess number one"), ("OwnCode", code)] })
        {
            var page = await (await Press(act, form, shown)).Content.ReadAsStringAsync();
            Assert.Contains("Nothing was changed", page, StringComparison.Ordinal);
            Assert.Equal("", PasswordOn(page));
        }

        Assert.Equal(HttpStatusCode.OK, (await mara.GetAsync("/Escalations")).StatusCode);
        Assert.Equal(0, await InDatabase(db => db.StaffChanges.CountAsync()));
        await Press(act, form, ("OwnPassword", Password), ("OwnCode", code));
        Assert.Equal(HttpStatusCode.Redirect, (await mara.GetAsync("/Escalations")).StatusCode);
        Assert.Equal(1, await InDatabase(db => db.StaffChanges.CountAsync()));
    }

    [Fact]
    public async Task Guessing_in_a_session_left_open_shuts_that_session_alone()
    {
        var form = await lead.GetStringAsync(Page);
        for (var i = 0; i < 5; i++) await Press("LetGo", form, ("OwnPassword", $"guess number {i}"), ("OwnCode", "000000"));
        Assert.Contains("Nothing was changed", await (await Press("LetGo", form, portal.ShownAgain("reed"))).Content.ReadAsStringAsync(), StringComparison.Ordinal);
        var other = portal.Browser();
        await portal.EnterPassword(other, "reed");
        portal.Clock.Advance(TimeSpan.FromSeconds(30));
        Assert.Equal(HttpStatusCode.Redirect, (await Send(other, "/Staff/SecondFactor", ("Code", portal.CodeNow(portal.KeyOf("reed"))))).StatusCode);
    }

    [Fact]
    public async Task Is_kept_with_who_did_it_told_to_the_person_by_text_and_ends_their_calendar_links()
    {
        await Post(mara, "/Rota/Calendars?handler=Mine", await mara.GetStringAsync("/Rota/Calendars"));
        Assert.Equal(1, await InDatabase(db => db.CalendarFeeds.CountAsync(f => f.RevokedAt == null)));
        await portal.ChangeAccount(lead, "reed", marasId, "StartAnew");
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        Assert.Equal(0, await InDatabase(db => db.CalendarFeeds.CountAsync(f => f.RevokedAt == null)));
        var told = await InDatabase(db => db.Outgoing.SingleAsync());
        Assert.Equal(("+12125550160", OutgoingKind.Notice), (told.To, told.Kind));
        Assert.Contains("given a new password and authenticator, by Dr reed", told.Text, StringComparison.Ordinal);
        await portal.ChangeAccount(lead, "reed", marasId, "LetGo");
        await portal.ChangeAccount(lead, "reed", marasId, "LetInAgain");
        var page = await lead.GetStringAsync(Page);
        foreach (var act in new[] { "given a new password and authenticator, by Dr reed", "let in no more, by Dr reed", "let in again with a new password and authenticator, by Dr reed" })
            Assert.Contains(act, page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_first_password_is_replaced_at_the_first_sign_in_and_opens_nothing_after_three_days()
    {
        var first = PasswordOn(await (await portal.ChangeAccount(lead, "reed", marasId, "StartAnew")).Content.ReadAsStringAsync());
        await portal.EnterPassword(mara, "mara", first);
        foreach (var (own, says) in new[] { ("", "12 characters"), ("short", "12 characters"), (first, "somebody else has seen") })
            Assert.Contains(says, await (await portal.Enrol(mara, ("NewPassword", own))).Answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, (await portal.Enrol(mara, ("NewPassword", "a phrase of her very own"))).Answer.StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await mara.GetAsync("/Escalations")).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await portal.EnterPassword(portal.Browser(), "mara", first)).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await portal.EnterPassword(portal.Browser(), "mara", "a phrase of her very own")).StatusCode);

        var second = PasswordOn(await (await portal.ChangeAccount(lead, "reed", marasId, "StartAnew")).Content.ReadAsStringAsync());
        portal.Clock.Advance(TimeSpan.FromDays(3) + TimeSpan.FromMinutes(1));
        Assert.Equal(HttpStatusCode.OK, (await portal.EnterPassword(portal.Browser(), "mara", second)).StatusCode);
    }
}
