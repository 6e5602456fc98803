using System.Net;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using Xunit;
using static AftercarePortal.Web.Tests.Staff.Portal_with_staff;

namespace AftercarePortal.Web.Tests.Aftercare;

public sealed class Asking_how_the_result_is : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private HttpClient desk = null!;
    private Guid clinic, patient, treatment;
    private string page = "";

    public async Task InitializeAsync()
    {
        portal = await Open("--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9");
        (clinic, patient) = await portal.Clinic("Wrenfold Clinic", 0);
        desk = await portal.SignedIn(clinic, "mara");
        treatment = Guid.CreateVersion7();
        page = $"/Aftercare/ReviewQuestions/{treatment}";
        // Fifteen days before the portal's today, 14 May 2031.
        await InDatabase(async db =>
        {
            db.Add(new TreatmentRow { Id = treatment, PatientId = patient, TreatedOn = new(2031, 4, 29), SignedBy = "Dr mara", SignedAt = Instant.FromUtc(2031, 4, 29, 15, 0) });
            return await db.SaveChangesAsync();
        });
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    // On the screen in the patient's hands, which is then taken back.
    private Task<HttpResponseMessage> Answer(string language, params (string, string)[] typed) => portal.FilledByPatient(desk, "mara", $"{page}/{language}", typed);

    private async Task<T> InDatabase<T>(Func<PortalDb, Task<T>> act)
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
        return await act(scope.ServiceProvider.GetRequiredService<PortalDb>());
    }

    [Fact]
    public async Task What_was_chosen_stands_with_its_day_and_says_what_to_speak_about()
    {
        Assert.Contains("Nothing answered yet for the review of day 14.", await desk.GetStringAsync(page));
        await HandOver(desk, page + "/en");
        var kept = await Send(desk, page + "/en", ("Chosen[result]", "mostly"), ("Chosen[sides]", "differ"), ("Chosen[again]", "no such answer"), ("Words", ""));
        Assert.Contains("Your answers are kept", await desk.GetStringAsync(kept.Headers.Location));
        await portal.TakeBack(desk, "mara");
        var html = WebUtility.HtmlDecode(await desk.GetStringAsync(page));
        Assert.Contains("Day 15", html);
        Assert.Contains("Mostly happy", html);
        Assert.Contains("Do your left and right side look alike to you? They differ more than before", html);
        Assert.DoesNotContain("Nothing answered yet", html);
        Assert.DoesNotContain("Would you do it again?", html);
        Assert.Equal(0, await InDatabase(db => db.Messages.CountAsync()));
    }

    [Fact]
    public async Task Own_words_are_read_like_a_text_of_that_patient_and_a_sign_in_them_pages()
    {
        await Answer("es", ("Chosen[result]", "very"), ("Words", "tengo la piel blanca y fria en la barbilla"));
        var message = await InDatabase(db => db.Messages.SingleAsync());
        var number = await InDatabase(db => db.Patients.Select(p => p.Number).SingleAsync());
        Assert.Equal((number, MessageRow.FromReview), (message.From, message.RawForm));
        await InDatabase(async db =>
        {
            Assert.True(await db.Jobs.AnyAsync(j => j.Kind == MessageJobs.Read && j.Subject == message.Id.ToString()));
            return 0;
        });
        await using (var scope = portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
            await scope.ServiceProvider.GetServices<IJobHandler>().Single(h => h.Kind == MessageJobs.Read).Run(message.Id.ToString(), CancellationToken.None);
        }

        var report = await InDatabase(db => db.Escalations.SingleAsync());
        Assert.True(report.Tier >= Tier.Urgent);
        Assert.Contains("written on the clinic's screen at a review visit", WebUtility.HtmlDecode(await desk.GetStringAsync($"/Escalations/{report.Id}")));
        Assert.Contains("tengo la piel blanca", await desk.GetStringAsync(page));
    }

    [Fact]
    public async Task Own_words_that_are_no_sign_are_answered_by_no_text()
    {
        await Answer("en", ("Chosen[result]", "very"), ("Words", "I love it, could you show me the photos again?"));
        var message = await InDatabase(db => db.Messages.SingleAsync());
        await using (var scope = portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
            await scope.ServiceProvider.GetServices<IJobHandler>().Single(h => h.Kind == MessageJobs.Read).Run(message.Id.ToString(), CancellationToken.None);
        }

        Assert.Empty(await InDatabase(db => db.Outgoing.Where(o => o.To == message.From).ToListAsync()));
    }

    [Fact]
    public async Task Own_words_nothing_could_read_open_a_report_of_that_patient_as_they_are()
    {
        await Answer("en", ("Chosen[result]", "very"), ("Words", "the chin feels heavy"));
        var message = await InDatabase(db => db.Messages.SingleAsync());
        await using (var scope = portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
            await scope.ServiceProvider.GetServices<IJobHandler>().Single(h => h.Kind == EscalationJobs.Unread).Run(message.Id.ToString(), CancellationToken.None);
        }

        var report = await InDatabase(db => db.Escalations.SingleAsync());
        Assert.Equal((message.From, Tier.Urgent, false), (report.Number, report.Tier, report.FromIntake));
        Assert.NotNull(report.PatientId);
    }

    [Fact]
    public async Task Sent_twice_it_is_kept_once_and_read_once()
    {
        await HandOver(desk, page + "/en");
        var form = await desk.GetStringAsync(page + "/en");
        for (var i = 0; i < 2; i++) await Post(desk, page + "/en", form, ("Words", "the chin feels heavy"));
        Assert.Equal((1, 1), (await InDatabase(db => db.ReviewAnswers.CountAsync()), await InDatabase(db => db.Messages.CountAsync())));
    }

    [Fact]
    public async Task Other_answers_from_the_same_form_are_kept_beside_the_first_and_read_too()
    {
        await HandOver(desk, page + "/en");
        var form = await desk.GetStringAsync(page + "/en");
        await Post(desk, page + "/en", form, ("Chosen[result]", "very"), ("Words", "the chin feels heavy"));
        for (var i = 0; i < 2; i++)
        {
            var kept = await Post(desk, page + "/en", form, ("Chosen[result]", "little"), ("Words", "my skin is white and cold"));
            Assert.Contains("Your answers are kept", await desk.GetStringAsync(kept.Headers.Location));
        }

        await portal.TakeBack(desk, "mara");
        var shown = WebUtility.HtmlDecode(await desk.GetStringAsync(page));
        Assert.Contains("the chin feels heavy", shown);
        Assert.Contains("my skin is white and cold", shown);
        Assert.Equal(["my skin is white and cold", "the chin feels heavy"], (await InDatabase(db => db.Messages.Select(m => m.Text).ToListAsync())).Order());
    }

    [Theory]
    [InlineData(MessageJobs.Read)]
    [InlineData(EscalationJobs.Unread)]
    public async Task On_a_shared_number_own_words_are_those_of_the_patient_whose_review_it_is(string kind)
    {
        await InDatabase(async db =>
        {
            db.Add(new PatientRow { Name = "Her daughter", Number = await db.Patients.Select(p => p.Number).SingleAsync() });
            return await db.SaveChangesAsync();
        });
        await Answer("en", ("Words", "my skin is white and cold"));
        var message = await InDatabase(db => db.Messages.SingleAsync());
        await using (var scope = portal.Parts.CreateAsyncScope())
        {
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
            await scope.ServiceProvider.GetServices<IJobHandler>().Single(h => h.Kind == kind).Run(message.Id.ToString(), CancellationToken.None);
        }

        var report = await InDatabase(db => db.Escalations.SingleAsync());
        Assert.Equal(patient, report.PatientId);
        var shown = WebUtility.HtmlDecode(await desk.GetStringAsync($"/Escalations/{report.Id}"));
        Assert.Contains("written on the clinic's screen at a review visit by Patient of Wrenfold Clinic", shown);
        Assert.Contains("This number is also that of Her daughter", shown);
    }

    [Fact]
    public async Task That_it_is_kept_stands_only_where_answers_were()
    {
        await HandOver(desk, page + "/en");
        foreach (var made_up in new[] { "?Kept=true", $"?Done={Guid.CreateVersion7()}", "?Done=true" }) Assert.DoesNotContain("Your answers are kept", await desk.GetStringAsync(page + "/en" + made_up));
    }

    [Fact]
    public async Task Nothing_or_too_much_is_not_kept_and_what_was_typed_stays()
    {
        Assert.Contains("Nothing is answered yet", await Text(await Answer("en", ("Words", "   "))));
        var long_words = new string('x', KeepReviewAnswers.MostLetters + 1);
        Assert.Contains(long_words, await Text(await Answer("en", ("Words", long_words), ("Chosen[again]", "maybe"))));
        await HandOver(desk, page + "/zz");
        Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync(page + "/zz")).StatusCode);
        Assert.Equal((0, 0), (await InDatabase(db => db.ReviewAnswers.CountAsync()), await InDatabase(db => db.Messages.CountAsync())));
    }

    [Fact]
    public async Task The_lead_reads_counts_of_the_latest_answers_and_no_score()
    {
        await Answer("en", ("Chosen[result]", "little"));
        portal.Clock.Advance(TimeSpan.FromDays(20));
        desk = await portal.SignedIn(clinic, "jonas");                              // the session ended meanwhile
        await portal.FilledByPatient(desk, "jonas", page + "/en", ("Chosen[result]", "very"));
        var html = WebUtility.HtmlDecode(await (await portal.SignedIn(clinic, "lea", StaffRole.PracticeLead)).GetStringAsync("/Outcomes"));
        Assert.Contains("Very happy: 1 of 1", html);
        Assert.Contains("Not very happy: 0 of 1", html);
        Assert.Contains("no score is made of it", html);
    }

    [Fact]
    public async Task Another_clinic_finds_nothing()
    {
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(other, "jonas");
        Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(page)).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await Post(theirs, page + "/en", await theirs.GetStringAsync("/Staff/SignOut"), ("AnswerId", Guid.CreateVersion7().ToString()), ("Words", "x"))).StatusCode);
    }

    private static async Task<string> Text(HttpResponseMessage answer) => WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
}
