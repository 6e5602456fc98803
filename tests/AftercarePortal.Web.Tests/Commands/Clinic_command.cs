using AftercarePortal.Testing;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.Features.Messages;
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

    [Fact]
    public async Task Gives_a_clinic_other_numbers_of_the_carrier_and_answers_for_them_from_now()
    {
        await Run(Line());
        var (code, output, _) = await Run(["number", "--slug", "wrenfold", "--patients", "+12025550180", "--pages", "+12025550101"]);
        Assert.Equal(0, code);
        Assert.Contains("patients text +12025550180", output);
        await using var db = ((ITestDatabase)_database).Open(Guid.Empty);
        Assert.Equal(("+12025550180", "+12025550101"), await db.Clinics.Select(c => ValueTuple.Create(c.PatientNumber, c.PageNumber)).SingleAsync());
        Assert.True(await db.Swept.AnyAsync(s => s.Number == "+12025550180"));
    }

    [Theory]
    [InlineData("elsewhere", "+12025550180", "+12025550181", "no clinic has this slug")]
    [InlineData("wrenfold", "+12025550180", "+12025550180", "must not silence pages")]
    [InlineData("wrenfold", "180", "+12025550181", "--patients")]
    [InlineData("wrenfold", "+12025550190", "+12025550181", "another clinic")]
    public async Task Other_numbers_that_cannot_be_are_refused_and_nothing_is_changed(string slug, string patients, string pages, string problem)
    {
        await Run(Line());
        string[] other = [.. Line(slug: "other", pages: "+12025550191", lead: "hale").Select(word => word is "+12025550100" ? "+12025550190" : word)];
        Assert.Equal(0, (await Run(other)).Code);
        var (code, _, error) = await Run(["number", "--slug", slug, "--patients", patients, "--pages", pages]);
        Assert.Equal(1, code);
        Assert.Contains(problem, error);
        await using var db = ((ITestDatabase)_database).Open(Guid.Empty);
        Assert.Equal(["+12025550100", "+12025550190"], (await db.Clinics.Select(c => c.PatientNumber).ToListAsync()).Order());
    }

    [Theory]
    [InlineData("add")]
    [InlineData("add --name Wrenfold")]
    [InlineData("number --slug wrenfold")]
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
