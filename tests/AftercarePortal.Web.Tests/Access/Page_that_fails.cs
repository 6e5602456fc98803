using System.Net;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Tests.Staff;
using Xunit;

namespace AftercarePortal.Web.Tests.Access;

public sealed class Page_that_fails
{
    private const string Fault = "a fault with words in it";

    [Fact]
    public async Task Answers_in_words_with_every_safe_header_and_without_the_fault()
    {
        var broken = false;
        await using var portal = await Portal_with_staff.OpenWith(() => broken ? throw new InvalidOperationException(Fault) : Shared_content.Library, "--Staff:Https=true");
        await portal.Clinic("Wrenfold Clinic", 0);
        broken = true;
        using var browser = portal.Browser();
        browser.DefaultRequestHeaders.Add("Accept", "text/html");
        using var answer = await browser.GetAsync(new Uri("/Intake/at/any", UriKind.Relative));
        Assert.Equal(HttpStatusCode.InternalServerError, answer.StatusCode);
        var page = await answer.Content.ReadAsStringAsync();
        Assert.Contains("Something went wrong on our side", page, StringComparison.Ordinal);
        Assert.Contains("emergency number", page, StringComparison.Ordinal);
        Assert.DoesNotContain(Fault, page, StringComparison.Ordinal);
        Assert.Contains("default-src 'none'", answer.Headers.GetValues("Content-Security-Policy").Single(), StringComparison.Ordinal);
        Assert.Equal("nosniff", answer.Headers.GetValues("X-Content-Type-Options").Single());
        Assert.Equal("no-referrer", answer.Headers.GetValues("Referrer-Policy").Single());
        Assert.True(answer.Headers.CacheControl!.NoStore);
        Assert.Equal("max-age=31536000", answer.Headers.GetValues("Strict-Transport-Security").Single());
    }

    [Fact]
    public async Task Asks_no_browser_for_https_where_there_is_none()
    {
        await using var portal = await Portal_with_staff.Open("--Staff:Https=false");
        using var answer = await portal.Browser().GetAsync(new Uri("/Staff/SignIn", UriKind.Relative));
        Assert.False(answer.Headers.Contains("Strict-Transport-Security"));
    }
}
