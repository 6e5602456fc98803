using System.Globalization;
using System.Net;
using AftercarePortal.Web.Features.Outcomes;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace AftercarePortal.Web.Tests.Outcomes;

public sealed class Touching_up : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, patient;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private Task<HttpResponseMessage> Sign(Guid whom, string? of, string day, string ml = "0.30") => Portal_with_staff.Send(desk, $"/Treatment/Record/{whom}",
        ("TreatedOn", day), ("TouchUpOf", of ?? ""), ("Lines[0].Region", "JawBody"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"),
        ("Lines[0].Lot", "D-8"), ("Lines[0].Expiry", "2039-01-31"), ("Lines[0].Amount", ml), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "22 G cannula"));

    private string Today => portal.Clock.GetUtcNow().AddHours(-5).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    // The session ends meanwhile.
    private async Task Pass(int days)
    {
        portal.Clock.Advance(TimeSpan.FromDays(days));
        desk = await portal.SignedIn(clinic, "jonas");
    }

    private static string IdOf(string address) => address.Split('/')[^1];

    [Fact]
    public async Task A_touch_up_is_a_record_of_its_own_that_names_the_first_and_is_named_there()
    {
        var first = (await Sign(patient, null, Today)).Headers.Location!.OriginalString;
        await Pass(30);
        Assert.Contains("Touch-up of 2031-05-14: jaw body left", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
        var second = (await Sign(patient, IdOf(first), Today)).Headers.Location!.OriginalString;
        Assert.Contains("A touch-up of the treatment of", await desk.GetStringAsync(second));
        Assert.Contains($"Touched up on <a href=\"{second}\">", await desk.GetStringAsync(first));
        // Of a touch-up there is no touch-up: the link goes to the first.
        Assert.DoesNotContain($"value=\"{IdOf(second)}\"", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
        Assert.Contains("choose the treatment of this patient", await (await Sign(patient, IdOf(second), Today)).Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task It_belongs_to_this_patient_and_to_an_earlier_day()
    {
        var first = IdOf((await Sign(patient, null, Today)).Headers.Location!.OriginalString);
        var (_, stranger) = await portal.Clinic("Another invented clinic", 1);
        Assert.NotEqual(patient, stranger);
        Assert.Contains("choose the treatment of this patient", await (await Sign(patient, Guid.CreateVersion7().ToString(), Today)).Content.ReadAsStringAsync());
        var early = await Sign(patient, first, "2031-05-13");
        Assert.Equal(HttpStatusCode.OK, early.StatusCode);
        Assert.Contains("the day is before the treatment of 2031-05-14", await early.Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task What_it_used_counts_in_the_cost_of_its_course_on_any_day_and_the_lead_sees_how_many_were_touched_up()
    {
        var course = new Course_of(portal, clinic, desk, "Person A", 1);
        await course.Quoted(["jaw-body"]);
        await course.Invited();
        var first = IdOf(await course.JawTreated(0.50));
        await Pass(Course.Days + 20);
        Assert.Equal(HttpStatusCode.Redirect, (await Sign(course.PatientId, first, Today, "1.50")).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await Sign(course.PatientId, null, Today, "1.50")).StatusCode);
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<Web.Data.ClinicScope>().Enter(clinic);
        var only = Assert.Single(await scope.ServiceProvider.GetRequiredService<ReadCourses>().Run(CancellationToken.None));
        Assert.Equal([1.0, 1.5], only.Visits.Select(v => Used.Billed(v).Ml.Values.Sum()));

        var lead = await portal.SignedIn(clinic, "lea", StaffRole.PracticeLead);
        Assert.Contains("No course has been said to be over yet", await lead.GetStringAsync("/Outcomes"));
        await scope.ServiceProvider.GetRequiredService<EndCourse>().Run(course.IntakeId, "0", "lea", CancellationToken.None);
        Assert.Contains("In 1 of 1 courses that are over a touch-up was recorded.", await lead.GetStringAsync("/Outcomes"));
    }
}
