using System.Net;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
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

/// <summary>Reed leads the practice; Mara is first on call and Noor second, and Mara gets another number.</summary>
public sealed class New_number : IAsyncLifetime
{
    private const string Old = "+12125550160", New = "+12125550177";
    private Portal_with_staff _portal = null!;
    private HttpClient _lead = null!, _mara = null!;
    private Guid _clinic;
    private string _person = "", _noor = "";

    public async Task InitializeAsync()
    {
        _portal = await Portal_with_staff.Open("--Carrier:PublicUrl=https://portal.example");
        (_clinic, _) = await _portal.Clinic("Wrenfold Clinic", 0);
        _lead = await _portal.SignedIn(_clinic, "reed", StaffRole.PracticeLead);
        _mara = await _portal.SignedIn(_clinic, "mara");
        await _portal.SignedIn(_clinic, "noor");
        (_person, _noor) = (await IdOf("mara"), await IdOf("noor"));
        await In(db => db.StaffOfClinic.Where(s => s.Id == _noor).ExecuteUpdateAsync(set => set.SetProperty(s => s.PageNumber, "+12125550161")));
    }

    public async Task DisposeAsync() => await _portal.DisposeAsync();

    [Fact]
    public async Task Is_where_pages_go_from_now_on_also_on_shifts_that_have_not_ended_and_the_old_one_is_kept_with_who_and_when()
    {
        await Shift(_person, Old, 1, from: -9, to: -8);
        await Shift(_person, Old, 1, from: -1, to: 1);
        await Shift(_person, Old, 1, from: 5, to: 6);
        Assert.Equal(HttpStatusCode.Redirect, (await Change("+1 212 555 0177")).StatusCode);
        Assert.Equal([Old, New, New], await In(db => db.Shifts.Where(s => s.Person == _person).OrderBy(s => s.From).Select(s => s.Number).ToListAsync()));
        Assert.Equal(New, (await In(db => db.OnCallAt(Now, default))).Numbers[_person]);
        var page = await _lead.GetStringAsync(Page);
        Assert.Contains($"Pages go to <strong>&#x2B;{New[1..]}</strong>", page);
        Assert.Contains($"&#x2B;{Old[1..]} until", page);
        Assert.Contains("changed by Dr reed", page);
    }

    [Fact]
    public async Task Is_where_pages_go_also_when_only_an_ended_shift_holds_the_old_one()
    {
        await Shift(_person, Old, 1, from: -9, to: -8);
        await Change(New);
        Assert.Equal(New, (await In(db => db.OnCallAt(Now, default))).Numbers[_person]);
    }

    [Fact]
    public async Task Is_doubtful_and_the_next_is_paged_too_until_its_test_page_is_taken()
    {
        await Shift(_person, Old, 1, from: -1, to: 1);
        await Shift(_noor, "+12125550161", 2, from: -1, to: 1);
        await Change(New);
        Assert.Equal([OutgoingKind.PageCall, OutgoingKind.PageText], (await To(New)).Select(o => o.Kind).OrderBy(k => k.ToString()));
        Assert.Equal([_person, _noor], (await In(db => db.OnCallAt(Now, default))).OnCall.NextAfter([]));
        Assert.Contains("Nobody has taken the test page from this number yet.", await _lead.GetStringAsync(Page));

        await Prove(Old);
        Assert.Equal([_person, _noor], (await In(db => db.OnCallAt(Now, default))).OnCall.NextAfter([]));
        await Prove(New);
        Assert.Equal([_person], (await In(db => db.OnCallAt(Now, default))).OnCall.NextAfter([]));
        Assert.DoesNotContain("Nobody has taken the test page", await _lead.GetStringAsync(Page));
    }

    [Theory]
    [InlineData(-1, true)]
    [InlineData(2, false)]
    public async Task Of_somebody_on_call_now_is_warned_of_on_the_page_and_told_to_the_next_and_the_lead(int from, bool warned)
    {
        await Shift(_person, Old, 1, from, to: 3);
        await Shift(_noor, "+12125550161", 2, from: -1, to: 3);
        Assert.Equal(warned, (await _lead.GetStringAsync(Page)).Contains("is on call now.", StringComparison.Ordinal));
        await Change(New);
        Assert.Equal(warned ? 1 : 0, (await To("+12125550161")).Count(o => o.Text.Contains("has a new number", StringComparison.Ordinal)));
    }

    [Theory]
    [InlineData("2125550177", "country code")]
    [InlineData("", "country code")]
    [InlineData(Old, "has this number already")]
    [InlineData("+12125550120", "a number of the clinic itself")]
    public async Task That_cannot_be_paged_or_changes_nothing_is_refused_and_what_was_typed_stays(string number, string why)
    {
        var page = await (await Change(number)).Content.ReadAsStringAsync();
        Assert.Contains(why, page);
        if (number.Length > 0) Assert.Contains($"value=\"{WebUtility.HtmlEncode(number).Replace("+", "&#x2B;", StringComparison.Ordinal)}\"", page);
        Assert.False(await In(db => db.NumberChanges.AnyAsync()));
    }

    [Fact]
    public async Task Is_not_taken_without_password_and_a_fresh_code_of_whoever_changes_it()
    {
        foreach (var code in new[] { "", "000000", _portal.CodeNow(_portal.KeyOf("mara")) })
            Assert.Contains("Nothing was changed", await (await Change(New, code)).Content.ReadAsStringAsync());
        Assert.Contains("Nothing was changed", await (await Change(New, password: "guess number one")).Content.ReadAsStringAsync());
        Assert.Equal(Old, await In(db => db.StaffOfClinic.Where(s => s.Id == _person).Select(s => s.PageNumber).SingleAsync()));
    }

    [Fact]
    public async Task Is_changed_by_whoever_leads_this_practice_and_nobody_else()
    {
        Assert.Equal(HttpStatusCode.NotFound, (await _mara.GetAsync(Page)).StatusCode);
        var (other, _) = await _portal.Clinic("Another Clinic", 1);
        var stranger = await _portal.SignedIn(other, "vale", StaffRole.PracticeLead);
        Assert.Equal(HttpStatusCode.NotFound, (await stranger.GetAsync(Page)).StatusCode);
        Assert.Contains($"/Rota/Number/{_person}", await _lead.GetStringAsync("/Staff"));
    }

    private string Page => $"/Rota/Number/{_person}";

    private Instant Now => _portal.Clock.GetCurrentInstant();

    private async Task<HttpResponseMessage> Change(string number, string? code = null, string password = Portal_with_staff.Password)
    {
        _portal.Clock.Advance(TimeSpan.FromSeconds(30));
        return await Portal_with_staff.Send(_lead, Page, ("Number", number), ("OwnPassword", password), ("OwnCode", code ?? _portal.CodeNow(_portal.KeyOf("reed"))));
    }

    private Task<string> IdOf(string name) => In(db => db.StaffOfClinic.Where(s => s.UserName == name).Select(s => s.Id).SingleAsync());

    private Task Shift(string person, string number, int order, int from, int to) => In(db =>
    {
        db.Add(new ShiftRow { Person = person, Number = number, Order = order, From = Now + Duration.FromDays(from), To = Now + Duration.FromDays(to) });
        return db.SaveChangesAsync();
    });

    private async Task Prove(string number)
    {
        await using var scope = Scope();
        await scope.ServiceProvider.GetRequiredService<ProveContact>().Run(_person, number, ContactWay.Text, Now, default);
        await scope.ServiceProvider.GetRequiredService<PortalDb>().SaveChangesAsync();
    }

    private Task<List<OutgoingRow>> To(string number) => In(db => db.Outgoing.AsNoTracking().Where(o => o.To == number).ToListAsync());

    private async Task<T> In<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = Scope();
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private AsyncServiceScope Scope()
    {
        var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        return scope;
    }
}
