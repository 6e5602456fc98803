using AftercarePortal.Web.Access;
using Xunit;
using Table = AftercarePortal.Web.Access.Access;

namespace AftercarePortal.Web.Tests.Access;

/// <summary>What a visitor without a sign-in can open: what the table says, nothing else.</summary>
public sealed class Access_table(Running_portal portal) : IClassFixture<Running_portal>
{
    [Fact]
    public async Task A_mapped_route_stands_in_the_table_or_answers_404()
    {
        var open = new List<string>();
        foreach (var (route, method) in portal.Mapped.Where(m => !Table.Table.ContainsKey(m.Route)))
            if (await portal.StatusOf(method, route) is var status and not 404) open.Add($"{method} {route}: {status}");
        Assert.Empty(open);
    }

    [Fact]
    public async Task A_route_somebody_forgot_to_list_is_mapped_and_answers_404()
    {
        Assert.Contains((Running_portal.Forgotten, "GET"), portal.Mapped);
        Assert.Equal(404, await portal.StatusOf("GET", Running_portal.Forgotten));
    }

    [Fact]
    public async Task A_staff_route_never_answers_200_without_sign_in()
    {
        var open = new List<string>();
        foreach (var route in Table.Table.Where(line => line.Value is Who.Staff or Who.PracticeLead or Who.Patient or Who.AtTheLock).Select(line => line.Key))
            foreach (var method in new[] { "GET", "POST" })
                if (await portal.StatusOf(method, route) is var status and >= 200 and < 300) open.Add($"{method} {route}: {status}");
        Assert.Empty(open);
    }

    [Fact]
    public async Task A_mapped_staff_page_sends_the_visitor_to_the_sign_in()
    {
        Assert.Contains(("Treatment/{id}", "GET"), portal.Mapped);
        Assert.Equal(302, await portal.StatusOf("GET", "Treatment/{id}"));
    }

    [Fact]
    public async Task The_sign_in_page_is_open_to_everybody() => Assert.Equal(200, await portal.StatusOf("GET", "Staff/SignIn"));

    [Fact]
    public async Task Every_answer_forbids_framing_and_keeping()
    {
        using var answer = await portal.Visitor.GetAsync(new Uri("/Staff/SignIn", UriKind.Relative));
        Assert.Contains("frame-ancestors 'none'", answer.Headers.GetValues("Content-Security-Policy").Single(), StringComparison.Ordinal);
        Assert.Contains("no-store", answer.Headers.CacheControl!.ToString(), StringComparison.Ordinal);
    }
}
