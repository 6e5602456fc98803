using AftercarePortal.Testing;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Commands;

public sealed class Clinic_command : IDisposable
{
    private readonly SqliteTestDatabase _database = new();

    public void Dispose() => _database.Dispose();

    private static string[] Line(string slug = "wrenfold", string zone = "America/New_York", string pages = "+12025550101", string lead = "reed") =>
    [
        "add", "--name", "Wrenfold Clinic", "--slug", slug, "--zone", zone, "--emergency", "911", "--line", "202-555-0142", "--patients", "+12025550100", "--pages", pages,
        "--lead", lead, "--lead-name", "Tomas Reed", "--lead-number", "+12025550111",
    ];

    [Fact]
    public async Task Adds_a_clinic_and_its_lead_and_shows_the_first_password_once()
    {
        var (code, output, _) = await Run(Line());
        Assert.Equal(0, code);
        Assert.Matches("shown only now: [a-z0-9]{4}(-[a-z0-9]{4}){3}", output);
        await using var db = ((ITestDatabase)_database).Open(Guid.Empty);
        var clinic = await db.Clinics.SingleAsync();
        var lead = await db.Staff.SingleAsync();
        Assert.Equal(("wrenfold", clinic.Id, StaffRole.PracticeLead), (clinic.Slug, lead.ClinicId, lead.Role));
    }

    [Theory]
    [InlineData("Wrenfold!", "America/New_York", "+12025550101", "reed", "--slug")]
    [InlineData("wrenfold", "Mars/Olympus", "+12025550101", "reed", "--zone")]
    [InlineData("wrenfold", "America/New_York", "2025550101", "reed", "--pages")]
    [InlineData("wrenfold", "America/New_York", "+12025550100", "reed", "must not silence pages")]
    [InlineData("wrenfold", "America/New_York", "+12025550101", "r d", "sign-in name")]
    public async Task What_cannot_be_is_refused_with_its_reason_and_nothing_is_added(string slug, string zone, string pages, string lead, string problem)
    {
        var (code, _, error) = await Run(Line(slug, zone, pages, lead));
        Assert.Equal(1, code);
        Assert.Contains(problem, error);
        await using var db = ((ITestDatabase)_database).Open(Guid.Empty);
        Assert.Equal(0, await db.Clinics.CountAsync());
    }

    [Fact]
    public async Task The_same_clinic_is_not_added_twice()
    {
        await Run(Line());
        var (code, _, error) = await Run(Line(lead: "hale"));
        Assert.Equal(1, code);
        Assert.Contains("there already", error);
    }

    [Theory]
    [InlineData("add")]
    [InlineData("add --name Wrenfold")]
    [InlineData("remove")]
    public async Task Wrong_use_answers_2_and_how_to_use_it(string line)
    {
        var (code, _, error) = await Run(line.Split(' '));
        Assert.Equal(2, code);
        Assert.Contains("usage: clinic add", error);
    }

    private async Task<(int Code, string Output, string Error)> Run(string[] args)
    {
        using StringWriter output = new(), error = new();
        return (await ClinicCommand.Run([.. args, $"--Database:Connection={_database.Connection}"], output, error), output.ToString(), error.ToString());
    }
}
