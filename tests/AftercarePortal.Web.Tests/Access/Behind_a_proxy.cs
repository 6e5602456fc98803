using System.Net;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Tests.Intake;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Access;

public sealed class Behind_a_proxy
{
    [Theory]
    [InlineData("127.0.0.0/8", HttpStatusCode.Redirect)]
    [InlineData("10.1.2.3", HttpStatusCode.TooManyRequests)]
    [InlineData("", HttpStatusCode.TooManyRequests)]
    public async Task Each_person_is_limited_alone_when_the_proxy_is_named_and_nobody_else_is_believed(string known, HttpStatusCode second)
    {
        await using var portal = await Portal_with_staff.Open("--Intake:MostStarts=1", $"--Proxies:Known={known}");
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        var slug = await new Intake_of(portal, clinic).InClinic(db => db.Set<ClinicRow>().Select(c => c.Slug).SingleAsync());
        Assert.Equal(HttpStatusCode.Redirect, await Start("203.0.113.7"));
        Assert.Equal(HttpStatusCode.TooManyRequests, await Start("203.0.113.7"));
        Assert.Equal(second, await Start("203.0.113.8"));

        async Task<HttpStatusCode> Start(string from)
        {
            using var request = new HttpRequestMessage(HttpMethod.Post, $"/Intake/at/{slug}") { Content = new FormUrlEncodedContent([new("lang", "en")]), Headers = { { "X-Forwarded-For", from } } };
            using var answer = await portal.Browser().SendAsync(request);
            return answer.StatusCode;
        }
    }

    [Fact]
    public async Task A_proxy_that_is_no_address_refuses_to_start() =>
        Assert.Contains("proxy.example", (await Assert.ThrowsAsync<InvalidOperationException>(() => Portal_with_staff.Open("--Proxies:Known=proxy.example"))).Message, StringComparison.Ordinal);
}
