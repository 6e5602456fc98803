using System.Net;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Outcomes;

public sealed class Outcomes_of_few : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient lead = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        lead = await portal.SignedIn(clinic, "lea", StaffRole.PracticeLead);
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    [Fact]
    public async Task An_empty_clinic_is_told_that_nobody_can_say_yet_and_has_nothing_to_learn()
    {
        var page = WebUtility.HtmlDecode(await lead.GetStringAsync("/Outcomes"));
        Assert.Contains("nothing to compare yet", page, StringComparison.Ordinal);
        Assert.Contains("nobody can say whether the ranges hold", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<svg", page, StringComparison.Ordinal);
        Assert.Contains("There is no completed case to learn from yet.", WebUtility.HtmlDecode(await (await Portal_with_staff.Send(lead, "/Outcomes")).Content.ReadAsStringAsync()), StringComparison.Ordinal);
        Assert.Contains("Nobody who was quoted has been treated yet.", await lead.GetStringAsync("/Outcomes/Cases"), StringComparison.Ordinal);
        Assert.Single((await lead.GetStringAsync("/Outcomes/cases.csv")).Trim().Split('\n'));
    }

    [Fact]
    public async Task Learning_now_adds_a_version_with_who_asked_and_the_same_cases_are_not_learned_twice()
    {
        var course = new Course_of(portal, clinic, lead, "Ada Quill", 1);
        await course.Quoted(["jaw-body"]);
        await course.Invited();
        await course.JawTreated(0.80);
        Assert.Contains("Learned. The next range uses it.", await (await Portal_with_staff.Send(lead, "/Outcomes")).Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Contains("Nothing new: version 1", await (await Portal_with_staff.Send(lead, "/Outcomes")).Content.ReadAsStringAsync(), StringComparison.Ordinal);
        await course.Person.RunDueJobs();
        var version = await course.Person.InClinic(db => db.ClinicFigures.SingleAsync());
        Assert.Equal((1, "Dr lea"), (version.Cases, version.AskedBy));
        Assert.Contains("from 1 case (1 without a recorded examination)", WebUtility.HtmlDecode(await lead.GetStringAsync("/Outcomes")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_course_treated_with_something_else_than_was_quoted_is_not_compared_nor_counted_as_a_miss()
    {
        var (other, toxin, same) = (new Course_of(portal, clinic, lead, "Ada Quill", 1), new Course_of(portal, clinic, lead, "Bo Fenn", 2), new Course_of(portal, clinic, lead, "Cy Lark", 3));
        foreach (var course in new[] { other, toxin, same })
        {
            await course.Quoted(["jaw-body"]);
            await course.Invited();
        }

        await other.Treated(lead, "HA filler", "Demo HA 1 mL", ("JawBody", "Left", 0.8), ("JawBody", "Right", 0.8));
        await toxin.JawTreated(0.80);
        await toxin.Treated(lead, "botulinum toxin type A", "Demo toxin", ("Platysma", "Left", 18), ("Platysma", "Right", 18));
        await same.JawTreated(0.80);
        foreach (var course in new[] { other, toxin, same })
            await Portal_with_staff.Post(lead, "/Outcomes/Cases", await lead.GetStringAsync("/Outcomes/Cases"), ("IntakeId", $"{course.IntakeId}"), ("Sessions", "0"));
        var cases = WebUtility.HtmlDecode(await lead.GetStringAsync("/Outcomes/Cases"));
        Assert.Contains("Not compared: treated with HA filler.", cases, StringComparison.Ordinal);
        Assert.Contains("Not compared: also treated: botulinum toxin type A.", cases, StringComparison.Ordinal);
        var outcomes = WebUtility.HtmlDecode(await lead.GetStringAsync("/Outcomes"));
        Assert.Contains("3 treated; 2 of those were treated in other places, or with something else,", outcomes, StringComparison.Ordinal);
        Assert.Matches("[01] of 1 (ranges )?held", outcomes);
    }

    [Fact]
    public async Task A_price_list_that_is_gone_is_said_to_staff_and_the_person_reads_that_the_clinic_will_tell()
    {
        var course = new Course_of(portal, clinic, lead, "Ada Quill", 1);
        await course.Quoted(["chin"], send: false);
        await course.Person.InClinic(db => db.Clinics.ExecuteUpdateAsync(set => set.SetProperty(c => c.PriceList, "gone-prices.v3")));
        Assert.Contains("the price list gone-prices.v3 is no longer there", await lead.GetStringAsync("/Settings"), StringComparison.Ordinal);
        var page = await new Course_of(portal, clinic, lead, "Bo Fenn", 2).Quoted(["chin"]);
        Assert.Contains("Wrenfold Clinic will tell you", page, StringComparison.Ordinal);
        Assert.DoesNotContain("gone-prices", page, StringComparison.Ordinal);
        var id = await course.Person.InClinic(db => db.Intakes.Where(i => i.Name == "Bo Fenn").Select(i => i.Id).SingleAsync());
        Assert.Contains("list gone-prices.v3 is no longer there", WebUtility.HtmlDecode(await lead.GetStringAsync($"/Review/{id}")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Without_a_price_list_the_person_reads_that_the_clinic_will_tell_and_staff_read_why()
    {
        await new Course_of(portal, clinic, lead, "", 0).Person.InClinic(db => db.Clinics.Where(c => c.Id == clinic).ExecuteUpdateAsync(set => set.SetProperty(c => c.PriceList, (string?)null)));
        var course = new Course_of(portal, clinic, lead, "Ada Quill", 1);
        Assert.Contains("Wrenfold Clinic will tell you", await course.Quoted(["chin"]), StringComparison.Ordinal);
        Assert.Equal(0, await course.Person.InClinic(db => db.Quotes.CountAsync()));
        Assert.Contains("the clinic has not set its prices", WebUtility.HtmlDecode(await lead.GetStringAsync($"/Review/{course.IntakeId}")), StringComparison.Ordinal);
    }
}
