using System.Net;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Escalations;

public sealed class Handing_over : IAsyncLifetime
{
    private Portal_with_staff _portal = null!;
    private HttpClient _hale = null!, _reed = null!;
    private Guid _clinic;

    public async Task InitializeAsync()
    {
        _portal = await Portal_with_staff.Open();
        (_clinic, _) = await _portal.Clinic("Wrenfold Clinic", 1);
        _hale = await _portal.SignedIn(_clinic, "hale");
        _reed = await _portal.SignedIn(_clinic, "reed");
    }

    public async Task DisposeAsync()
    {
        _hale.Dispose();
        _reed.Dispose();
        await _portal.DisposeAsync();
    }

    [Fact]
    public async Task Lists_the_open_reports_by_itself_and_waits_until_the_next_one_has_read_it()
    {
        var report = await OpenReport();
        Assert.Equal(HttpStatusCode.Redirect, (await Tap(_hale, "Write", ("Text", "Ring her at eight. <b>"))).StatusCode);
        Assert.Contains("A hand-over note waits", await _reed.GetStringAsync("/Escalations"));
        Assert.DoesNotContain("A hand-over note waits", await _hale.GetStringAsync("/Escalations"));      // not for who wrote it
        var page = await _reed.GetStringAsync("/Escalations/HandOver");
        Assert.Contains("Ring her at eight. &lt;b&gt;", page);
        Assert.Contains($"/Escalations/{report}", page);
        Assert.Contains("urgent, nobody has it", page);

        await Tap(_reed, $"Read&id={await Note()}");
        Assert.Contains("Read by Dr reed", await _hale.GetStringAsync("/Escalations/HandOver"));
        Assert.DoesNotContain("A hand-over note waits", await _reed.GetStringAsync("/Escalations"));
    }

    [Fact]
    public async Task Unread_stays_to_be_read_however_many_were_written_since()
    {
        await Tap(_hale, "Write", ("Text", "Her sister has the key."));
        foreach (var n in Enumerable.Range(1, 7)) await Tap(_reed, "Write", ("Text", $"Quiet night {n}."));
        Assert.Contains("Her sister has the key.", await _reed.GetStringAsync("/Escalations/HandOver"));
    }

    [Fact]
    public async Task Is_not_read_by_who_wrote_it()
    {
        await Tap(_hale, "Write", ("Text", "Quiet night."));
        await Tap(_hale, $"Read&id={await Note()}");
        Assert.Contains("Not read by anybody yet", await _hale.GetStringAsync("/Escalations/HandOver"));
    }

    [Fact]
    public async Task Empty_with_nothing_open_is_not_kept() =>
        Assert.Contains("Write what the next one has to know", await (await Tap(_hale, "Write", ("Text", " "))).Content.ReadAsStringAsync());

    [Fact]
    public async Task Of_another_clinic_is_not_seen()
    {
        await Tap(_hale, "Write", ("Text", "Quiet night."));
        var (elsewhere, _) = await _portal.Clinic("Another Clinic", 2);
        using var stranger = await _portal.SignedIn(elsewhere, "stranger");
        Assert.DoesNotContain("Quiet night", await stranger.GetStringAsync("/Escalations/HandOver"));
        await Tap(stranger, $"Read&id={await Note()}");
        Assert.Contains("Not read by anybody yet", await _hale.GetStringAsync("/Escalations/HandOver"));
    }

    private async Task<HttpResponseMessage> Tap(HttpClient browser, string handler, params (string, string)[] typed) =>
        await Portal_with_staff.Post(browser, $"/Escalations/HandOver?handler={handler}", await browser.GetStringAsync("/Staff/SignIn"), typed);

    private async Task<Guid> OpenReport() => await Read(async db =>
    {
        var row = new EscalationRow { ClinicId = _clinic, Number = "+12125550150", Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = _portal.Clock.GetCurrentInstant(), WrittenAt = _portal.Clock.GetCurrentInstant(), OpenKey = "+12125550150" };
        db.Add(row);
        await db.SaveChangesAsync();
        return row.Id;
    });

    private Task<Guid> Note() => Read(db => db.HandOvers.Select(n => n.Id).SingleAsync());

    private async Task<T> Read<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }
}
