using System.Net;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Aftercare;

/// <summary>The page of one patient, from which staff find what was kept.</summary>
public sealed class Everything_of_a_patient : IAsyncLifetime
{
    private static readonly string[] Carrier = ["--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9"];
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, patient;

    public async Task InitializeAsync()
    {
        portal = await Open(Carrier);
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
        await InDatabase(db => db.Patients.ExecuteUpdateAsync(set => set.SetProperty(p => p.AgreedToTextsAt, portal.Clock.GetCurrentInstant())));
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    [Fact]
    public async Task The_list_of_patients_leads_to_yesterdays_record_without_its_lot()
    {
        var record = await Treat();
        Assert.Contains($"href=\"/Patients/{patient}\"", await desk.GetStringAsync("/Patients"));
        var page = await Page();
        Assert.Contains($"href=\"{record}\"", page);
        Assert.Contains("14 May 2031, signed by Dr mara. CaHA filler: jaw angle left", page);
    }

    [Theory]
    [InlineData("/Treatment/Plan/{0}")]
    [InlineData("/Treatment/Plan/{0}/Kit")]
    [InlineData("/Consent/{0}")]
    [InlineData("/Aftercare/Photos/{0}")]
    [InlineData("/Treatment/Record/{0}")]
    public async Task Each_page_of_a_patient_leads_back_here_in_the_same_words_from_its_top(string address)
    {
        var html = await desk.GetStringAsync(string.Format(System.Globalization.CultureInfo.InvariantCulture, address, patient));
        var after = html[html.IndexOf("</h1>", StringComparison.Ordinal)..];
        Assert.Matches($"^</h1>\\s*<p><a href=\"/Patients/{patient}\">Back to the page of this patient</a></p>", after);
    }

    [Fact]
    public async Task The_plan_stands_with_the_state_and_the_words_of_each_text()
    {
        await Treat();
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        var steps = await InDatabase(db => db.Steps.ToListAsync());
        Assert.Contains($"Aftercare texts to come ({steps.Count(s => s.State is StepState.Planned)})", await Page());
        portal.Clock.Advance(TimeSpan.FromHours(14));                              // 19:00 on the clinic's wall
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        var text = await InDatabase(db => db.Outgoing.FirstAsync(o => o.Kind == OutgoingKind.Step));
        await InDatabase(db => db.Outgoing.Where(o => o.Id == text.Id).ExecuteUpdateAsync(set => set.SetProperty(o => o.State, OutgoingState.Accepted)));
        await InDatabase(async db =>
        {
            db.Add(new DeliveryRow { ClinicId = clinic, OutgoingId = text.Id, Status = "undelivered", ReceivedAt = portal.Clock.GetCurrentInstant() });
            return await db.SaveChangesAsync();
        });
        desk = await portal.SignedIn(clinic, "tomas");
        var page = await Page();
        Assert.Contains(text.Text, page);
        Assert.Contains("sent, and did not arrive", page);
    }

    [Fact]
    public async Task A_draft_somebody_else_began_an_open_report_and_a_void_record_are_named()
    {
        await Send(desk, $"/Treatment/Record/{patient}?handler=Keep", ("Lines[0].Lot", "D-9"));
        var other = await portal.SignedIn(clinic, "tomas");
        var record = await Treat();
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        Assert.Equal(HttpStatusCode.Redirect, (await Send(other, record, ("Text", "Twice."), ("Standing", "EnteredTwice"))).StatusCode);
        var now = portal.Clock.GetCurrentInstant();
        var report = new EscalationRow { ClinicId = clinic, PatientId = patient, Number = "+12125550150", Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = now, WrittenAt = now, OpenKey = "shown" };
        await InDatabase(async db => { db.Add(report); return await db.SaveChangesAsync(); });
        await Send(desk, $"/Treatment/Record/{patient}?handler=Keep", ("Lines[0].Lot", "D-9"));
        var page = await (await other.GetAsync($"/Patients/{patient}")).Content.ReadAsStringAsync();
        Assert.Contains("Draft of Dr mara", page);
        Assert.Contains("it was entered twice", page);
        await portal.Parts.GetRequiredService<JobRunner>().RunDue();
        page = await (await other.GetAsync($"/Patients/{patient}")).Content.ReadAsStringAsync();
        Assert.Contains("withdrawn or taken over before their day", page);        // and not among what went out
        Assert.Contains("Aftercare texts to come (0)", page);
        Assert.Contains($"/Escalations/{report.Id}", page);
        Assert.Contains("open, nobody has taken it", page);
    }

    [Fact]
    public async Task Another_clinics_patient_is_not_found()
    {
        var (other, foreign) = await portal.Clinic("Another invented clinic", 1);
        Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync($"/Patients/{foreign}")).StatusCode);
        Assert.NotEqual(clinic, other);
    }

    [Fact]
    public async Task After_a_text_of_a_wrong_number_staff_who_looked_let_care_texts_go_on_and_it_stands_who_did()
    {
        await Wrote("wrong number, I don't know you", new() { ClinicId = clinic, Number = "", MessageId = default, Stopped = true, IsWrongNumber = true, At = portal.Clock.GetCurrentInstant() });
        var page = await Page();
        Assert.Contains("said to be somebody else's number: no care texts", page);
        Assert.Contains("wrong number, I don't know you", page);
        await GoOn();
        Assert.DoesNotContain("no care texts", await Page());
        Assert.Equal("Dr mara", await InDatabase(db => db.OptOuts.OrderByDescending(o => o.Id).Select(o => o.LetGoOnBy).FirstAsync()));
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(1)]
    public async Task A_STOP_before_or_after_such_a_text_is_ended_by_nobody_of_staff(int minutes)
    {
        var at = portal.Clock.GetCurrentInstant();
        await Wrote("STOP", new() { ClinicId = clinic, Number = "", MessageId = default, Stopped = true, At = at + Duration.FromMinutes(minutes) });
        await Wrote("wrong number", new() { ClinicId = clinic, Number = "", MessageId = default, Stopped = true, IsWrongNumber = true, At = at });
        Assert.DoesNotContain("care texts go on", await Page());
        await GoOn();
        Assert.Contains("texted STOP: no care texts", await Page());
    }

    [Fact]
    public async Task A_STOP_written_after_it_and_kept_after_texts_were_let_go_on_holds()
    {
        var at = portal.Clock.GetCurrentInstant();
        await Wrote("wrong number", new() { ClinicId = clinic, Number = "", MessageId = default, Stopped = true, IsWrongNumber = true, At = at });
        portal.Clock.Advance(TimeSpan.FromMinutes(5));
        await GoOn();
        await Wrote("STOP", new() { ClinicId = clinic, Number = "", MessageId = default, Stopped = true, At = at + Duration.FromMinutes(1) });
        Assert.Contains("texted STOP: no care texts", await Page());
    }

    private async Task Wrote(string text, OptOutRow stop)
    {
        var number = await InDatabase(db => db.Patients.Select(p => p.Number).SingleAsync());
        var message = new MessageRow { ClinicId = clinic, CarrierId = $"SM-{Guid.CreateVersion7()}", From = number, To = "+12025550100", Text = text, MediaCount = 0, RawForm = "", ReceivedAt = stop.At, WrittenAt = stop.At };
        (stop.Number, stop.MessageId) = (number, message.Id);
        await InDatabase(async db =>
        {
            db.AddRange(message, stop);
            return await db.SaveChangesAsync();
        });
    }

    private Task GoOn() => Send(desk, $"/Patients/{patient}?handler=TextsGoOn");

    private async Task<string> Page() => WebUtility.HtmlDecode(await desk.GetStringAsync($"/Patients/{patient}"));

    private async Task<string> Treat()
    {
        var signed = await Send(desk, $"/Treatment/Record/{patient}",
            ("TreatedOn", "2031-05-14"), ("NoConsent", "OnPaper"), ("Lines[0].Region", "JawAngle"), ("Lines[0].Side", "Left"), ("Lines[0].Product", "CaHA filler"), ("Lines[0].ProductName", "Demo CaHA 1.5 mL"), ("Lines[0].Lot", "D-114"),
            ("Lines[0].Expiry", "2031-06-30"), ("Lines[0].Amount", "0.35"), ("Lines[0].Plane", "Supraperiosteal"), ("Lines[0].Device", "25 G cannula"));
        Assert.Equal(HttpStatusCode.Redirect, signed.StatusCode);
        return signed.Headers.Location!.OriginalString;
    }

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }
}
