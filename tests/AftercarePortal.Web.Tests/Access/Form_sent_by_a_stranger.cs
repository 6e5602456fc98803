using System.Net;
using AftercarePortal.Web.Tests.Staff;
using Xunit;

namespace AftercarePortal.Web.Tests.Access;

/// <summary>A form for staff without a session: shown again to staff whose session ended, to nobody else.</summary>
public sealed class Form_sent_by_a_stranger : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient mara = null!;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        mara = await portal.SignedIn(clinic, "mara");
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private static Task<HttpResponseMessage> Fill(HttpClient browser, int letters) =>
        browser.PostAsync(new Uri("/Settings", UriKind.Relative), new MultipartFormDataContent { { new StringContent(new string('"', letters)), "Name" } });

    [Fact]
    public async Task Is_not_repeated_and_leads_to_the_sign_in()
    {
        foreach (var letters in new[] { 10, 1_000_000 })
        {
            using var answer = await Fill(portal.Browser(), letters);
            Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
            Assert.Equal("/Staff/SignIn", answer.Headers.Location!.AbsolutePath);
            Assert.Empty(await answer.Content.ReadAsByteArrayAsync());
        }
    }

    [Fact]
    public async Task With_a_cookie_made_up_is_a_strangers_still()
    {
        using var browser = portal.Browser();
        using var request = new HttpRequestMessage(HttpMethod.Post, "/Settings") { Content = new FormUrlEncodedContent([new("Name", "x")]), Headers = { { "Cookie", "staff=CfDJ8made-up; known=CfDJ8made-up" } } };
        Assert.Equal(HttpStatusCode.Redirect, (await browser.SendAsync(request)).StatusCode);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Is_kept_for_staff_whose_session_ended_unless_it_is_longer_than_a_page_may_hold(bool signedOut)
    {
        if (signedOut) await Portal_with_staff.Send(mara, "/Staff/SignOut");
        else portal.Clock.Advance(TimeSpan.FromMinutes(20));
        using var kept = await Fill(mara, 1_000);
        Assert.Equal(HttpStatusCode.Unauthorized, kept.StatusCode);
        Assert.Contains("&quot;&quot;", await kept.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        using var tooLong = await Fill(mara, 300_000);
        Assert.Equal(HttpStatusCode.Redirect, tooLong.StatusCode);
    }

    [Fact]
    public async Task Of_unknown_length_is_read_no_further_than_that()
    {
        portal.Clock.Advance(TimeSpan.FromMinutes(20));
        using var request = new HttpRequestMessage(HttpMethod.Post, "/Settings") { Content = new MultipartFormDataContent { { new StringContent(new string('"', 1_000_000)), "Name" } } };
        request.Headers.TransferEncodingChunked = true;
        using var answer = await mara.SendAsync(request);
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
    }
}
