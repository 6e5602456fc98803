using System.Net;
using AftercarePortal.Testing;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace AftercarePortal.Web.Tests.Staff;

/// <summary>U+0000 in a search field, a path or a login name: PostgreSQL refuses it, people get a normal answer.</summary>
public sealed class Nul_in_what_is_looked_for_on_PostgreSQL : IAsyncLifetime
{
    private readonly PostgresTestDatabase _database = new();
    private Portal_with_staff _portal = null!;
    private HttpClient _browser = null!;

    public async Task InitializeAsync()
    {
        _portal = await Portal_with_staff.Open("--Database:Kind=postgres", $"--Database:Connection={_database.Connection}", $"--Photos:Key={Convert.ToBase64String(new byte[32])}");
        var (clinic, _) = await _portal.Clinic("Wrenfold Clinic", 1);
        _browser = await _portal.SignedIn(clinic, "hale", StaffRole.PracticeLead);
    }

    public async Task DisposeAsync()
    {
        _browser.Dispose();
        await _portal.DisposeAsync();
        _database.Dispose();
    }

    [Theory]
    [InlineData("/Patients", "Wanted")]
    [InlineData("/Treatment/Lots", "Typed")]
    public async Task In_a_search_field_is_no_fault(string page, string field)
    {
        using var answer = await Portal_with_staff.Post(_browser, page, await _browser.GetStringAsync(page), (field, "De\0mo"));
        Assert.True(answer.StatusCode is HttpStatusCode.OK or HttpStatusCode.BadRequest, $"{answer.StatusCode}");
        Assert.DoesNotContain("Npgsql", _portal.Log.All, StringComparison.Ordinal);
    }

    [Fact]
    public async Task In_a_query_of_the_portal_finds_nothing()
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        var (part, name) = ("pa\0tient", "pa\0tient");
        Assert.False(await db.Patients.IgnoreQueryFilters().AnyAsync(p => p.Name.ToLower().Contains(part)));
        Assert.False(await db.Patients.IgnoreQueryFilters().AnyAsync(p => p.Name == name));
        Assert.Equal(0, await db.Patients.IgnoreQueryFilters().Where(p => p.Name == name).ExecuteDeleteAsync());
    }

    [Theory]
    [InlineData("/Intake/at/wren%00fold")]
    [InlineData("/Intake/abc%00def")]
    [InlineData("/Treatment/abc%00def")]
    [InlineData("/Consent/01890a5d-ac96-774b-bcce-b302099a8001/abc%00def")]
    public async Task In_a_path_is_not_found_and_no_fault(string path)
    {
        using var answer = await _browser.GetAsync(new Uri(path, UriKind.Relative));
        Assert.InRange((int)answer.StatusCode, 400, 404);
    }

    [Fact]
    public async Task In_a_login_name_is_refused_as_any_other()
    {
        using var stranger = _portal.Browser();
        using var answer = await Portal_with_staff.Post(stranger, "/Staff/SignIn", await stranger.GetStringAsync("/Staff/SignIn"), ("UserName", "ha\0le"), ("Password", "a\0b"));
        Assert.True(answer.StatusCode is HttpStatusCode.OK or HttpStatusCode.BadRequest, $"{answer.StatusCode}");
        Assert.DoesNotContain("Npgsql", _portal.Log.All, StringComparison.Ordinal);
    }
}
