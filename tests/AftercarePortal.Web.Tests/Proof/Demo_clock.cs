using System.Net;
using AftercarePortal.Demo.Clock;
using AftercarePortal.Demo.Rehearsal;
using AftercarePortal.Demo.Wrenfold;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Proof;

public sealed class Demo_clock
{
    [Fact]
    public void It_goes_forward_and_never_back()
    {
        var clock = new DemoClock();
        var before = clock.Now;
        Assert.True(clock.MoveTo(before + Duration.FromDays(3)));
        Assert.InRange(clock.Now - before, Duration.FromDays(3), Duration.FromDays(3) + Duration.FromMinutes(1));
        Assert.False(clock.MoveTo(before));
        Assert.True(clock.Now >= before + Duration.FromDays(3));
    }

    [Fact]
    public void A_demo_started_again_does_not_go_back()
    {
        var file = Path.GetTempFileName();
        File.Delete(file);
        var first = new DemoClock(file);
        first.MoveTo(first.Now + Duration.FromDays(2));
        Assert.True(new DemoClock(file).Now >= first.Now - Duration.FromSeconds(1));
        File.Delete(file);
    }

    [Fact]
    public async Task The_handsets_page_moves_it_and_the_texts_due_on_the_way_come_each_on_its_day()
    {
        await using var stage = await Stage.Set();
        using var phone = new HttpClient { BaseAddress = new(stage.Demo.PhoneUrl) };
        Assert.Contains("day 0 after", await phone.GetStringAsync("/"), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.OK, await Move(phone, ("day", "2"), ("time", "09:45")));
        Assert.Contains("day 2 after", await phone.GetStringAsync("/"), StringComparison.Ordinal);
        Assert.Equal(6, stage.Demo.Carrier.Lines.Count(l => l.To == Seed.PatientNumber));
        Assert.Equal(HttpStatusCode.BadRequest, await Move(phone, ("day", "1"), ("time", "09:45")));
        Assert.Equal(HttpStatusCode.BadRequest, await Move(phone, ("day", "61"), ("time", "09:45")));
        Assert.Equal(HttpStatusCode.BadRequest, await Move(phone, ("day", "3"), ("time", "half past nine")));
        Assert.Equal(HttpStatusCode.OK, await Move(phone, ("hours", "1")));
        Assert.Contains("10:4", await phone.GetStringAsync("/"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_moved_clock_signs_nobody_out_and_authenticators_still_fit()
    {
        await using var stage = await Stage.Set();
        using var iris = new StaffBrowser(stage.Demo.PortalUrl);
        Assert.True(await iris.SignIn("iris", Seed.Password));
        stage.Demo.Clock.MoveTo(stage.Demo.Clock.Now + Duration.FromDays(3));
        Assert.Equal(HttpStatusCode.OK, await iris.Open("/Escalations"));
        using var tomas = new StaffBrowser(stage.Demo.PortalUrl);
        Assert.True(await tomas.SignIn("tomas", Seed.Password));
    }

    private static async Task<HttpStatusCode> Move(HttpClient phone, params (string Name, string Value)[] fields)
    {
        using var answer = await phone.PostAsync("/clock", new FormUrlEncodedContent(fields.Select(f => KeyValuePair.Create(f.Name, f.Value))));
        return answer.StatusCode;
    }
}
