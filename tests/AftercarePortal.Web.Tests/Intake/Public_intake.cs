using System.Net;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using Xunit;

namespace AftercarePortal.Web.Tests.Intake;

/// <summary>The door anybody may come in by: what is written there pages staff, texts nobody, and cannot be flooded.</summary>
public sealed class Public_intake : IAsyncLifetime
{
    private const string White = "my skin has gone white where you injected me yesterday", Typed = "+12125550177";
    private Portal_with_staff portal = null!;
    private Intake_of person = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open("--Intake:MostStarts=3", "--Intake:MostSends=2", "--Intake:MostPhotos=1", "--Intake:MostWorkedOut=3", "--Intake:MostAnswers=400", "--Intake:MostPrinted=2", "--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9");
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        person = new(portal, clinic);
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    [Fact]
    public async Task A_warning_sign_in_own_words_is_answered_on_the_very_next_page_and_every_one_after()
    {
        await person.Start();
        await person.Born(1988);
        while (!(await person.Show()).Contains("<textarea", StringComparison.Ordinal)) await person.Skip();
        var words = person.At;
        await person.Answer(("text", White));
        Assert.Contains("may need help sooner", await person.Show(), StringComparison.Ordinal);
        await person.Rest();
        var check = await person.Show();
        Assert.Contains("may need help sooner", check, StringComparison.Ordinal);
        Assert.Contains("911", check, StringComparison.Ordinal);
        await person.Post(words, ("text", "a firmer jaw"), ("act", "answer"));
        Assert.DoesNotContain("may need help sooner", await person.Show($"{person.Link}/check"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Where_many_come_at_once_the_next_joins_the_latest_of_them_with_its_number_and_pages_nobody_anew()
    {
        await portal.Hire(clinic, "iris");
        await person.InClinic(async db =>
        {
            var now = portal.Clock.GetCurrentInstant();
            for (var i = 0; i < ReadIntakeWords.MostApart; i++)
                db.Add(new EscalationRow { ClinicId = clinic, Number = $"+1212555018{i}", Ref = $"7KQ{i}", Tier = Tier.Emergency, OpenedAt = now, WrittenAt = now, OpenKey = $"intake {i}", FromIntake = true });
            return await db.SaveChangesAsync();
        });
        await person.Result(White);
        await person.Send();
        await person.RunDueJobs();
        Assert.Equal(ReadIntakeWords.MostApart, await person.InClinic(db => db.Escalations.CountAsync()));
        Assert.Empty(await person.InClinic(db => db.Outgoing.ToListAsync()));
        var report = await person.InClinic(db => db.Readings.Select(r => r.EscalationId!.Value).SingleAsync());
        var desk = await portal.SignedIn(clinic, "nina");
        Assert.Contains($"Another intake, with another number: {Typed}", WebUtility.HtmlDecode(await desk.GetStringAsync($"/Escalations/{report}")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Sent_it_pages_staff_as_an_intake_texts_the_typed_number_nothing_and_touches_no_patient_or_report_of_that_number()
    {
        await person.InClinic(async db =>
        {
            db.Add(new ShiftRow { ClinicId = clinic, Person = "mara", Number = "+12125550160", From = portal.Clock.GetCurrentInstant() - NodaTime.Duration.FromHours(1), To = portal.Clock.GetCurrentInstant() + NodaTime.Duration.FromHours(8), Order = 1 });
            db.Add(new PatientRow { ClinicId = clinic, Name = "Mira Sand", Number = Typed });
            return await db.SaveChangesAsync();
        });
        await portal.Hire(clinic, "iris");
        Assert.Contains("may need help sooner", await person.Result(White), StringComparison.Ordinal);
        await person.Send();
        await person.RunDueJobs();
        var report = await person.InClinic(db => db.Escalations.SingleAsync());
        Assert.Equal((Typed, null, true), (report.Number, report.PatientId, report.FromIntake));
        var outgoing = await person.InClinic(db => db.Outgoing.ToListAsync());
        Assert.NotEmpty(outgoing);
        Assert.DoesNotContain(outgoing, o => o.To == Typed || o.Kind is OutgoingKind.SafetyReply);
        Assert.All(outgoing, o => Assert.Contains("intake", o.Text, StringComparison.Ordinal));
        Assert.DoesNotContain(outgoing, o => o.Text.Contains("white", StringComparison.OrdinalIgnoreCase) || o.Text.Contains("skin", StringComparison.OrdinalIgnoreCase));

        var desk = await portal.SignedIn(clinic, "nina");
        var page = await desk.GetStringAsync($"/Escalations/{report.Id}");
        Assert.Contains("written into an intake", page, StringComparison.Ordinal);
        Assert.Contains("nobody checked it", page, StringComparison.Ordinal);
        Assert.DoesNotContain("Mira Sand", page, StringComparison.Ordinal);
        await Portal_with_staff.Send(desk, $"/Escalations/{report.Id}?handler=Take");
        portal.Clock.Advance(TimeSpan.FromHours(2));
        await person.RunDueJobs();
        Assert.DoesNotContain(await person.InClinic(db => db.Outgoing.ToListAsync()), o => o.To == Typed);
        Assert.False(await person.InClinic(db => db.EscalationEvents.AnyAsync(e => e.What == EscalationEvent.PatientTold)));

        await person.Send();
        await person.RunDueJobs();
        Assert.Equal(1, await person.InClinic(db => db.Messages.CountAsync()));
    }

    [Fact]
    public async Task STOP_written_into_an_intake_stops_nothing()
    {
        await person.Result($"{White}. STOP");
        await person.Send();
        await person.RunDueJobs();
        Assert.Equal(0, await person.InClinic(db => db.OptOuts.CountAsync()));
    }

    [Fact]
    public async Task Words_left_out_or_cleared_or_on_a_branch_left_are_not_kept_when_it_is_sent()
    {
        await person.Result("My grandmother called it the marzipan chin");
        var words = await At("<textarea");
        await person.Post(words, ("text", "My grandmother called it the marzipan chin"), ("act", "skip"));
        await person.Post($"{person.Link}/check");
        Assert.True(await Kept("marzipan"));
        await person.Send();
        Assert.False(await Kept("marzipan"));
        Assert.Equal(1, await person.InClinic(db => db.IntakeResults.CountAsync()));
        Assert.DoesNotContain("marzipan", await person.Show($"{person.Link}/result"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Many_starts_from_one_address_are_asked_to_wait_and_another_clinic_is_not()
    {
        for (var i = 0; i < 3; i++) await person.Start();
        var slug = await person.InClinic(db => db.Set<Features.Settings.ClinicRow>().Select(c => c.Slug).SingleAsync());
        var page = await person.Post($"/Intake/at/{slug}", ("lang", "en"));
        Assert.Equal(HttpStatusCode.TooManyRequests, person.Status);
        Assert.Contains("wait about 3 minutes", page, StringComparison.Ordinal);
        Assert.Contains("Start the questions", page, StringComparison.Ordinal);
        Assert.Equal(3, await person.InClinic(db => db.Intakes.CountAsync()));
        var (other, _) = await portal.Clinic("Other Clinic", 1);
        await new Intake_of(portal, other).Start();
    }

    [Fact]
    public async Task Many_sendings_from_one_address_are_asked_to_wait_and_nothing_typed_is_lost()
    {
        await person.Result();
        for (var i = 0; i < 2; i++) await person.Send(number: "12");
        var page = await person.Send("Jonas Lind", "(212) 555-0177");
        Assert.Equal(HttpStatusCode.TooManyRequests, person.Status);
        Assert.Contains("Not sent yet", page, StringComparison.Ordinal);
        Assert.Contains("value=\"Jonas Lind\"", page, StringComparison.Ordinal);
        Assert.Contains("value=\"(212) 555-0177\"", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Many_photos_from_one_address_are_asked_to_wait()
    {
        await person.Result();
        await person.Upload(("front", Photos.Drawn.Jpeg(600, 900)));
        Assert.Contains("These photos were not kept", await person.Upload(("left", Photos.Drawn.Jpeg(600, 900))), StringComparison.Ordinal);
        Assert.Equal(1, await person.InClinic(db => db.IntakePhotos.CountAsync()));
    }

    [Fact]
    public async Task Photos_of_an_ended_or_sent_link_or_of_one_asked_to_wait_are_not_even_read()
    {
        await person.Result();
        await person.Upload(("front", Photos.Drawn.Jpeg(600, 900)));
        var large = new byte[1_000_000];
        Assert.Contains("These photos were not kept", await person.Upload(("left", large)), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.TooManyRequests, person.Status);
        await person.Send();
        await person.Upload(("left", large));
        Assert.Contains("so the photos were not added. Bring them to your visit, or ring the clinic: ", await person.Show(), StringComparison.Ordinal);
        Assert.Equal(1, await person.InClinic(db => db.IntakePhotos.CountAsync()));
        await person.Post($"/Intake/{new string('a', 32)}/photos", ("x", new string('x', 300_000)));
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, person.Status);
    }

    [Fact]
    public async Task Sent_a_second_time_with_another_name_or_number_it_says_that_the_first_stays_and_whom_to_ring()
    {
        await person.Result();
        await person.Send();
        await person.Send();
        Assert.DoesNotContain("changed nothing", await person.Show(person.At), StringComparison.Ordinal);
        foreach (var again in new (string Name, string Number, bool MayText)[] { ("Jona Lind", "(212) 555-0177", true), ("Jonas Lind", "(212) 555-0178", true), ("Jonas Lind", "(212) 555-0177", false) })
        {
            await person.Send(again.Name, again.Number, again.MayText);
            Assert.Contains("What you filled in now changed nothing.", await person.Show(person.At), StringComparison.Ordinal);
        }

        Assert.Equal(("Jonas Lind", true), await person.InClinic(db => db.Intakes.Select(i => ValueTuple.Create(i.Name, i.MayText)).SingleAsync()));
    }

    [Fact]
    public async Task Worked_out_again_with_nothing_new_keeps_nothing_new_and_the_link_is_asked_to_wait()
    {
        var course = new Outcomes.Course_of(portal, clinic, portal.Browser(), "Ada Quill", 9);
        await course.Quoted(["jaw-body"], send: false);
        person = course.Person;
        var check = $"{person.Link}/check";
        await person.Post(check);
        Assert.EndsWith("/result", person.At, StringComparison.Ordinal);
        Assert.Equal((1, 1), await Rows());
        await person.Post($"{person.Link}/2", ("choice", "male"), ("act", "answer"));
        await person.Post(check);
        Assert.Equal((2, 2), await Rows());
        var page = "";
        for (var i = 0; i < 100 && person.Status is not HttpStatusCode.TooManyRequests; i++) page = await person.Post(check);
        Assert.Contains("worked out many times just now", page, StringComparison.Ordinal);
        Assert.Equal((2, 2), await Rows());

        Task<(int, int)> Rows() => person.InClinic(async db => (await db.IntakeResults.CountAsync(), await db.Quotes.CountAsync()));
    }

    [Fact]
    public async Task One_link_answered_or_printed_without_end_is_asked_to_wait_and_what_was_typed_stays_on_the_page()
    {
        await person.Result();
        var (page, typed) = ("", 0);
        for (; typed < 2000 && person.Status is not HttpStatusCode.TooManyRequests; typed++) page = await person.Post($"{person.Link}/1", ("day", $"{1_000 + typed}"), ("month", "2"), ("year", "1988"), ("act", "answer"));
        Assert.Equal(HttpStatusCode.TooManyRequests, person.Status);
        Assert.Contains("Not kept yet", page, StringComparison.Ordinal);
        Assert.Contains($"value=\"{999 + typed}\"", page, StringComparison.Ordinal);
        Assert.True(await person.InClinic(db => db.IntakeAnswers.AnyAsync(a => a.Typed.Contains($"{998 + typed}"))));
        Assert.False(await person.InClinic(db => db.IntakeAnswers.AnyAsync(a => a.Typed.Contains($"{999 + typed}"))));
        await person.Show($"{person.Link}/pdf");
        Assert.Equal(HttpStatusCode.OK, person.Status);
        for (var i = 0; i < 100 && person.Status is not HttpStatusCode.TooManyRequests; i++) page = await person.Show($"{person.Link}/pdf");
        Assert.Contains("Too often just now", page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("es-MX,es;q=0.9,en;q=0.5", false, true)]
    [InlineData("es;q=0.2,en-GB", true, false)]
    [InlineData("fr", true, true)]
    [InlineData("", true, true)]
    public async Task Where_no_link_tells_the_language_a_plain_page_is_in_the_one_the_browser_asks_for_or_in_both(string asked, bool english, bool spanish)
    {
        using var ask = new HttpRequestMessage(HttpMethod.Get, new Uri("/Intake/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA/photos/front", UriKind.Relative));
        ask.Headers.Add("Accept", "text/html");
        if (asked.Length > 0) ask.Headers.Add("Accept-Language", asked);
        var page = WebUtility.HtmlDecode(await (await portal.Browser().SendAsync(ask)).Content.ReadAsStringAsync());
        Assert.Equal(english, page.Contains("There is nothing here", StringComparison.Ordinal) && page.Contains("local emergency number", StringComparison.Ordinal));
        Assert.Equal(spanish, page.Contains("Aquí no hay nada", StringComparison.Ordinal) && page.Contains("número de emergencias", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("pdf")]
    [InlineData("visit.ics")]
    public async Task A_file_behind_a_link_that_ended_says_so_in_both_languages_with_whom_to_ring(string file)
    {
        await person.Result();
        await person.Send();
        portal.Clock.Advance(TimeSpan.FromDays(40));
        var page = await person.Show($"{person.Link}/{file}");
        Assert.Equal(HttpStatusCode.NotFound, person.Status);
        Assert.Contains("This link has ended", page, StringComparison.Ordinal);
        Assert.Contains("Este enlace ha terminado", page, StringComparison.Ordinal);
        Assert.Contains("tel:+12125550100", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_form_that_is_too_large_gets_a_plain_page_and_what_was_kept_stays()
    {
        await person.Start();
        await person.Born(1988);
        var at = person.At;
        var page = await person.Post(at, ("choice", new string('x', 300_000)), ("act", "answer"));
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, person.Status);
        Assert.Contains("too large to take", page, StringComparison.Ordinal);
        Assert.DoesNotContain("demasiado grande", page, StringComparison.Ordinal);
        await person.Post(person.Link, ("lang", "es"));
        page = await person.Post(at, ("choice", new string('x', 300_000)), ("act", "answer"));
        Assert.Contains("demasiado grande", page, StringComparison.Ordinal);
        Assert.Contains("<html lang=\"es\">", page, StringComparison.Ordinal);
        Assert.DoesNotContain("too large to take", page, StringComparison.Ordinal);
        Assert.Equal(1, await person.InClinic(db => db.IntakeAnswers.CountAsync()));
        await person.Post(at, [.. Enumerable.Range(0, 3000).Select(i => ($"a{i}", "b"))]);
        Assert.Equal(HttpStatusCode.BadRequest, person.Status);
        await person.Answer(("choice", "female"));
        Assert.Equal(HttpStatusCode.Redirect, person.Status);
    }

    [Fact]
    public async Task Forms_no_browser_would_send_are_answered_at_their_question_and_no_page_falls()
    {
        (string, string)[][] forms =
        [
            [], [("act", "fly")], [("act", "skip"), ("act", "answer")], [("choice", "no"), ("choice", "yes"), ("choice", "not-sure"), ("choice", "none")],
            [.. Enumerable.Repeat(("choice", "no"), 900)], [("choice", "\0"), ("text", "\0"), ("day", "\0")], [("choice", new string('x', 4001)), ("text", new string('x', 4001))],
            [("day", "1"), ("day", "2"), ("month", "1"), ("year", "1990")], [("day", "99999999999"), ("month", "-1"), ("year", "1e9")],
            [("day", ""), ("month", ""), ("year", ""), ("about", "99999999999999999999"), ("unit", "weeks")], [("about", "-3"), ("unit", "years")], [("Link", "x"), ("number", "99"), ("handler", "Link")],
        ];
        await person.Start();
        await person.Born(1988);
        var questions = 0;
        for (; questions < 60 && !person.At.EndsWith("/check", StringComparison.Ordinal); questions++)
        {
            var at = person.At;
            foreach (var (form, which) in forms.Select((f, i) => (f, i)))
            {
                var page = await person.Post(at, form);
                // No form can hold U+0000: it is refused whole, on a page of its own.
                var refused = form.Any(f => f.Item2 == "\0");
                Assert.True(person.Status is HttpStatusCode.BadRequest ? refused && page.Contains("<h1>", StringComparison.Ordinal) : person.Status is HttpStatusCode.OK or HttpStatusCode.Redirect, $"{person.Status} to form {which} at question {questions + 2}");
            }

            await person.Post(at, ("act", "skip"));
        }

        Assert.InRange(questions, 25, 59);
        foreach (var number in new[] { "0", "-1", "999", "99999999999999999999", "1.5", "%00" })
        {
            await person.Post($"{person.Link}/{number}", ("choice", "no"));
            Assert.True(person.Status is HttpStatusCode.Redirect or HttpStatusCode.NotFound or HttpStatusCode.BadRequest, $"{person.Status} at {number}");
        }

        await person.Post($"{person.Link}/check");
        Assert.EndsWith("/result", person.At, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("203.0.113.9", "::ffff:203.0.113.9", true)]
    [InlineData("2001:db8:1:2:3::1", "2001:db8:1:2:ffff::9", true)]
    [InlineData("2001:db8:1:2::1", "2001:db8:1:3::1", false)]
    [InlineData("203.0.113.9", "203.0.113.10", false)]
    public void One_household_is_one_address(string one, string other, bool same) =>
        Assert.Equal(same, ClientAddress.Of(IPAddress.Parse(one)) == ClientAddress.Of(IPAddress.Parse(other)));

    private async Task<bool> Kept(string word)
    {
        var typed = await person.InClinic(db => db.IntakeAnswers.Select(a => a.Typed).ToListAsync());
        var results = await person.InClinic(db => db.IntakeResults.Select(r => r.Json).ToListAsync());
        return typed.Concat(results).Any(text => text.Contains(word, StringComparison.Ordinal));
    }

    private async Task<string> At(string tag)
    {
        for (var number = 1; ; number++)
            if ((await person.Show($"{person.Link}/{number}")).Contains(tag, StringComparison.Ordinal)) return $"{person.Link}/{number}";
    }
}
