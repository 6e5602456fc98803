using System.Net;
using Xunit;

namespace AftercarePortal.Web.Tests.Staff;

public sealed class Bare_address
{
    [Fact]
    public async Task Leads_staff_to_the_sign_in_and_once_signed_in_to_the_open_reports()
    {
        await using var portal = await Portal_with_staff.Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        Assert.Contains("/Staff/SignIn", await portal.Browser().GetStringAsync("/"));
        var answer = await (await portal.SignedIn(clinic, "mara")).GetAsync("/");
        Assert.Equal((HttpStatusCode.Redirect, "/Escalations"), (answer.StatusCode, answer.Headers.Location!.OriginalString));
    }
}
