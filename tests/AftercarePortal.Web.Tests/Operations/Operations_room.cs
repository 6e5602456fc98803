using System.Net;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Photos;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Operations;

public sealed class Operations_room : IAsyncLifetime
{
    private Portal_with_staff _portal = null!;
    private HttpClient _browser = null!;
    private Guid _clinic, _patient;

    public async Task InitializeAsync()
    {
        _portal = await Portal_with_staff.Open();
        (_clinic, _patient) = await _portal.Clinic("Wrenfold Clinic", 1);
        _browser = await _portal.SignedIn(_clinic, "hale");
    }

    public async Task DisposeAsync()
    {
        _browser.Dispose();
        await _portal.DisposeAsync();
    }

    [Fact]
    public async Task Shows_given_up_jobs_and_tries_one_again_when_somebody_says_so()
    {
        var job = new JobRow { ClinicId = _clinic, Kind = MessageJobs.Read, Subject = "1", DueAt = Now, Lane = 1, ParkedAt = Now, Attempts = 8, LastFailure = "TimeoutException" };
        await Write(job);
        var page = await Page();
        Assert.Contains("reading a patient&#x27;s message", page);
        Assert.Contains("TimeoutException", page);

        using var again = await Portal_with_staff.Post(_browser, $"/Operations?handler=TryAgain&id={job.Id}", page);
        Assert.Equal(HttpStatusCode.Redirect, again.StatusCode);
        Assert.Contains("Nothing was given up", await Page());
        Assert.Equal([("1", 0)], await Read(db => db.Jobs.Where(j => j.DoneAt == null).Select(j => ValueTuple.Create(j.Subject, j.Attempts)).ToListAsync()));
    }

    [Fact]
    public async Task Shows_a_photo_that_could_not_be_fetched()
    {
        var message = new MessageRow { ClinicId = _clinic, CarrierId = "MM1", From = "+12125550150", To = "+12125550111", Text = "", MediaCount = 1, RawForm = "", ReceivedAt = Now, WrittenAt = Now };
        await Write(message);
        await Write(new PhotoRow { ClinicId = _clinic, MessageId = message.Id, Index = 0, State = PhotoState.Gone });
        Assert.Contains("ask for it again, or ring", await Page());
    }

    [Fact]
    public async Task Shows_a_record_nobody_signed_and_gives_that_of_somebody_let_go_to_whoever_leads_the_practice()
    {
        var writer = await _portal.SignedIn(_clinic, "mara");
        await Portal_with_staff.Send(writer, $"/Treatment/Record/{_patient}?handler=Keep", ("Lines[0].Lot", "D-114"));
        var lead = await _portal.SignedIn(_clinic, "iris", StaffRole.PracticeLead);
        var page = await lead.GetStringAsync("/Operations");
        Assert.Contains("draft of Dr mara", page);
        Assert.DoesNotContain("Take it over", page);

        await Read(db => db.Staff.Where(s => s.UserName == "mara").ExecuteUpdateAsync(set => set.SetProperty(s => s.LockoutEnd, DateTimeOffset.MaxValue)));
        page = await lead.GetStringAsync("/Operations");
        Assert.Contains("Dr mara was let go and cannot sign it", page);
        var draft = await Read(db => db.TreatmentDrafts.SingleAsync());
        using var refused = await Portal_with_staff.Post(_browser, $"/Operations?handler=TakeOver&id={draft.Id}", await _browser.GetStringAsync($"/Treatment/Record/{_patient}"));
        Assert.Equal(HttpStatusCode.NotFound, refused.StatusCode);
        using var taken = await Portal_with_staff.Post(lead, $"/Operations?handler=TakeOver&id={draft.Id}", page);
        Assert.Contains("value=\"D-114\"", await lead.GetStringAsync(taken.Headers.Location));
        Assert.Equal("Dr mara", (await Read(db => db.ThrownDrafts.SingleAsync())).StaffName);
    }

    [Fact]
    public async Task Shows_no_job_of_another_clinic()
    {
        await Write(new JobRow { ClinicId = Guid.NewGuid(), Kind = MessageJobs.Read, Subject = "1", DueAt = Now, Lane = 1, ParkedAt = Now });
        Assert.Contains("Nothing was given up", await Page());
    }

    [Fact]
    public async Task Shows_what_is_late()
    {
        await Write(new JobRow { ClinicId = _clinic, Kind = MessageJobs.Send, Subject = "1", DueAt = Now - Duration.FromMinutes(7), Lane = 0 });
        var page = await Page();
        Assert.Contains("sending a text or placing a call", page);
        Assert.Contains("7 min", page);
        Assert.Contains("workers have not gone round", page);
    }

    [Fact]
    public async Task Shows_a_text_that_failed_unless_a_report_of_that_number_is_open()
    {
        await Write(
            Text("a", "+12125550151", OutgoingState.Refused), Text("b", "+12125550152", OutgoingState.Unclear), Text("c", "+12125550153", OutgoingState.Accepted),
            new EscalationRow { ClinicId = _clinic, Number = "+12125550152", Ref = "7KQX", Tier = Tier.Urgent, OpenedAt = Now, WrittenAt = Now, OpenKey = "+12125550152" });
        var page = await Page();
        Assert.Contains("12125550151: refused by the carrier", page);
        Assert.DoesNotContain("12125550152", page);
        Assert.DoesNotContain("12125550153", page);
    }

    [Fact]
    public async Task Shows_a_text_that_was_taken_and_did_not_arrive()
    {
        var text = Text("a", "+12125550151", OutgoingState.Accepted);
        await Write(text, new DeliveryRow { ClinicId = _clinic, OutgoingId = text.Id, Status = "undelivered", ErrorCode = 30003, ReceivedAt = Now });
        Assert.Contains("12125550151: sent, and did not arrive", await Page());
    }

    [Theory]
    [InlineData(nameof(StepState.Stopped), "asked for no texts")]
    [InlineData(nameof(StepState.NotAgreed), "no agreement to texts is kept")]
    [InlineData(nameof(StepState.Merged), "a newer step spoke instead")]
    [InlineData(nameof(StepState.TooLate), "too late to be of use")]
    public async Task Shows_steps_that_were_not_sent_and_why(string state, string why)
    {
        await Write(new StepRow
        {
            ClinicId = _clinic, TreatmentId = Guid.NewGuid(), PatientId = _patient, StepId = "day-1", From = "caha-filler.v1", Kind = AftercarePortal.Clinical.Aftercare.StepKind.CheckIn, TextId = "t", DueAt = Now,
            MissedWithinHours = 1, MissedThen = MissedAction.Skip, State = Enum.Parse<StepState>(state), StateAt = Now,
        });
        var page = await Page();
        Assert.Contains("Patient of Wrenfold Clinic, day-1", page);
        Assert.Contains(why, page);
    }

    [Fact]
    public async Task Shows_gaps_of_the_rota_in_the_next_14_days()
    {
        await Write(new ShiftRow { Person = "Dr hale", Number = "+12125550160", Order = 1, From = Now - Duration.FromDays(1), To = Now + Duration.FromDays(2) });
        Assert.Contains("Nobody is on call from Fri 16 May 2031, 05:00 to Wed 28 May 2031, 05:00.", await Page());
    }

    private Instant Now => _portal.Clock.GetCurrentInstant();

    private OutgoingRow Text(string key, string to, OutgoingState state) =>
        new() { ClinicId = _clinic, Key = key, Kind = OutgoingKind.SafetyReply, From = "+12125550111", To = to, Text = "words", MadeAt = Now, State = state };

    private Task<string> Page() => _browser.GetStringAsync(new Uri("/Operations", UriKind.Relative));

    private Task<int> Write(params object[] rows) => Read(db =>
    {
        db.AddRange(rows);
        return db.SaveChangesAsync();
    });

    private async Task<T> Read<T>(Func<PortalDb, Task<T>> read)
    {
        await using var scope = _portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(_clinic);
        return await read(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }
}
