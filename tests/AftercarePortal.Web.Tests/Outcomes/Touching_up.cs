using System.Globalization;
using System.Net;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Outcomes;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
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
        portal = await Portal_with_staff.Open("--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9");
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private Task<HttpResponseMessage> Sign(Guid whom, string? of, string day, string ml = "0.30", string handler = "") => Portal_with_staff.Send(desk, $"/Treatment/Record/{whom}{handler}",
        ("TreatedOn", day), ("NoConsent", "OnPaper"), ("TouchUpOf", of ?? ""), ("Lines[0].Region", "JawBody"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"),
        ("Lines[0].Lot", "D-8"), ("Lines[0].Expiry", "2039-01-31"), ("Lines[0].Amount", ml), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "22 G cannula"));

    private string Today => portal.Clock.GetUtcNow().AddHours(-5).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    // The session ends meanwhile.
    private async Task Pass(int days)
    {
        portal.Clock.Advance(TimeSpan.FromDays(days));
        desk = await portal.SignedIn(clinic, "jonas");
    }

    private async Task<T> InClinic<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    private static string IdOf(string address) => address.Split('/')[^1];

    [Fact]
    public async Task A_touch_up_is_a_record_of_its_own_that_names_the_first_and_is_named_there()
    {
        var first = (await Sign(patient, null, Today)).Headers.Location!.OriginalString;
        await Pass(30);
        Assert.Contains("Touch-up of 14 May 2031: jaw body left", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
        var second = (await Sign(patient, IdOf(first), Today)).Headers.Location!.OriginalString;
        Assert.Contains("A touch-up of the treatment of", await desk.GetStringAsync(second));
        Assert.Contains($"Touched up on <a href=\"{second}\">", await desk.GetStringAsync(first));
        // Of a touch-up there is no touch-up: the link goes to the first.
        Assert.DoesNotContain($"value=\"{IdOf(second)}\"", await desk.GetStringAsync($"/Treatment/Record/{patient}"));
        Assert.Contains("choose the treatment of this patient", await (await Sign(patient, IdOf(second), Today)).Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task Its_texts_warn_anew_and_ask_for_no_visits_as_the_clinician_reads_before_signing_and_photos_count_from_the_first_treatment()
    {
        var first = IdOf((await Sign(patient, null, Today)).Headers.Location!.OriginalString);
        await Pass(30);
        string Told(string html) => System.Net.WebUtility.HtmlDecode(html);
        var own = Told(await (await Sign(patient, null, Today, handler: "?handler=Look")).Content.ReadAsStringAsync());
        Assert.DoesNotContain("Of what was given before", own);
        var looked = Told(await (await Sign(patient, first, Today, handler: "?handler=Look")).Content.ReadAsStringAsync());
        Assert.Contains("asks for no visits of its own, and photos of the result count from the treatment of 14 May 2031", looked);
        Assert.Contains("Tue 12 August 2031", looked);                                    // day 90 of the first
        Assert.Contains("a touch-up does not ask for it anew", looked);

        var second = Guid.Parse(IdOf((await Sign(patient, first, Today)).Headers.Location!.OriginalString));
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        var steps = await InClinic(db => db.Steps.AsNoTracking().Where(s => s.TreatmentId == second).ToListAsync());
        Assert.DoesNotContain(steps, s => s is { State: StepState.Planned, Kind: StepKind.Appointment });
        Assert.All(steps.Where(s => s.Kind is StepKind.Appointment), s => Assert.Equal("a touch-up does not ask for it anew", s.Reason));
        Assert.Contains(steps, s => s is { State: StepState.Planned, Kind: StepKind.Safety, Day: 5 });
        Assert.Equal([new(2031, 8, 12), new NodaTime.LocalDate(2031, 11, 10)], steps.Where(s => s.TextId == "aftercare-photo" && s.State is StepState.Planned).Select(s => s.DueAt.InUtc().Date).Order());
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
        Assert.Contains("the day is before the treatment of 14 May 2031", await early.Content.ReadAsStringAsync());
    }

    [Theory]
    [InlineData(false, 0)]
    [InlineData(true, 2)]
    public async Task Of_a_first_record_that_was_taken_back_it_teaches_no_first_treatment_and_of_one_entered_twice_it_stays_in_the_course(bool twice, int records)
    {
        var course = new Course_of(portal, clinic, desk, "Person A", 1);
        await course.Quoted(["jaw-body"]);
        await course.Invited();
        var first = await course.JawTreated(0.50);
        if (twice) await course.JawTreated(0.50);
        await Pass(30);
        Assert.Equal(HttpStatusCode.Redirect, (await Sign(course.PatientId, IdOf(first), Today)).StatusCode);
        var back = await Portal_with_staff.Send(desk, first, ("Text", "It was not so."), ("Standing", twice ? "EnteredTwice" : "NotGiven"));
        Assert.Equal(HttpStatusCode.Redirect, back.StatusCode);
        Assert.Equal(records, await InClinic(async db => (await new ReadCourses(db).Run(CancellationToken.None)).Sum(c => c.Records.Count)));
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
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        var only = Assert.Single(await scope.ServiceProvider.GetRequiredService<ReadCourses>().Run(CancellationToken.None));
        Assert.Equal([1.0, 1.5], only.Visits.Select(v => Used.Billed(v).Fillers.Sum(f => f.MlByProduct.Values.Sum())));

        var lead = await portal.SignedIn(clinic, "lea", StaffRole.PracticeLead);
        Assert.Contains("No course has been said to be over yet", await lead.GetStringAsync("/Outcomes"));
        await scope.ServiceProvider.GetRequiredService<EndCourse>().Run(course.IntakeId, "0", "lea", CancellationToken.None);
        Assert.Contains("In 1 of 1 courses that are over a touch-up was recorded.", await lead.GetStringAsync("/Outcomes"));
    }
}
