using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Clinical.Triage;
using System.Net;
using System.Text;
using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Tests.Intake;
using AftercarePortal.Web.Tests.Staff;
using AftercarePortal.Web.Jobs;
using Ical.Net;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Review;

/// <summary>Between the intake and the visit: a word on a finding, a question back, an invitation.</summary>
public sealed class Talking_with_a_person : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private Intake_of person = null!;
    private HttpClient desk = null!;
    private Guid clinic;
    private Guid id;

    private string Page => $"/Review/{id}";

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open("--Carrier:AccountSid=AC1", "--Carrier:AuthToken=t", "--Carrier:PublicUrl=https://portal.example", "--Carrier:BaseUrl=http://127.0.0.1:9");
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        person = new(portal, clinic);
        await person.Result();
        await person.Send();
        desk = await portal.SignedIn(clinic, "mara");
        id = await person.InClinic(db => db.Intakes.Select(i => i.Id).SingleAsync());
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private static async Task<string> Read(HttpClient who, string page) => WebUtility.HtmlDecode(await who.GetStringAsync(page));

    private Task<HttpResponseMessage> Invited() =>
        Portal_with_staff.Send(desk, Page, ("Choice", "Accepted"), ("Until", ""), ("Reason", "Seen"), ("Words", "Please come and talk."));

    private async Task<HttpResponseMessage> Close_question(string why) =>
        await Portal_with_staff.Post(desk, $"{Page}?handler=CloseQuestion", await desk.GetStringAsync(Page), ("number", "1"), ("ClosedWith", why));

    private Task<HttpResponseMessage> Visit(string day, string at, string minutes = "30", string handler = "") =>
        Portal_with_staff.Send(desk, $"{Page}/Visit", ("Form.Day", day), ("Form.At", at), ("Form.Minutes", minutes), ("Form.Place", "Room 2, Easthaven"));

    private Task Stop(string number, bool wrongNumber = false) => person.InClinic(db =>
    {
        db.Add(new OptOutRow { ClinicId = clinic, Number = number, Stopped = true, IsWrongNumber = wrongNumber, MessageId = Guid.NewGuid(), At = NodaTime.Instant.FromDateTimeOffset(portal.Clock.GetUtcNow()) });
        return db.SaveChangesAsync();
    });

    [Fact]
    public async Task A_notice_goes_to_the_number_staff_have_put_right_also_one_that_waited()
    {
        await Invited();
        await person.InClinic(db => db.Patients.Where(p => p.Name == "Jonas Lind").ExecuteUpdateAsync(s => s.SetProperty(p => p.Number, "+12125550188")));
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which?"));
        Assert.Equal("+12125550188", await person.InClinic(db => db.Outgoing.Where(o => o.Key.StartsWith("question:")).Select(o => o.To).SingleAsync()));
        Assert.Contains("The patient's number now: +12125550188", await Read(desk, Page));
        await person.InClinic(db => db.Patients.Where(p => p.Name == "Jonas Lind").ExecuteUpdateAsync(s => s.SetProperty(p => p.Number, "+12125550189")));
        portal.Clock.Advance(TimeSpan.FromHours(4));
        for (var i = 0; i < 5; i++)
        {
            await person.RunDueJobs();
            portal.Clock.Advance(TimeSpan.FromSeconds(5));
        }

        Assert.All(await person.InClinic(db => db.Outgoing.ToListAsync()), o => Assert.Equal(("+12125550189", true), (o.To, o.FirstTriedAt is not null)));
    }

    [Fact]
    public async Task An_invited_person_who_is_known_under_another_number_is_told_at_that_one_if_she_agreed_to_texts()
    {
        var known = await person.InClinic(async db =>
        {
            var row = db.Add(new PatientRow { Name = "Jonas Lind", Number = "+12125550190", AgreedToTextsAt = NodaTime.Instant.FromUtc(2031, 1, 1, 0, 0) }).Entity;
            await db.SaveChangesAsync();
            return row.Id;
        });
        await Portal_with_staff.Send(desk, Page, ("Choice", "Accepted"), ("Until", ""), ("Reason", "Seen"), ("Words", "Please come."), ("Who", $"{known}"), ("Wanted", "Jonas"));
        Assert.Equal("+12125550190", await person.InClinic(db => db.Outgoing.Select(o => o.To).SingleAsync()));
        await person.InClinic(db => db.Patients.Where(p => p.Id == known).ExecuteUpdateAsync(s => s.SetProperty(p => p.AgreedToTextsAt, (NodaTime.Instant?)null)));
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which?"));
        Assert.Equal(1, await person.InClinic(db => db.Outgoing.CountAsync()));
        Assert.Contains("Your question: no text was sent, for none was agreed to: ring.", await Read(desk, Page));
    }

    [Theory]
    [InlineData(false, "texted STOP, so no text goes there: ring")]
    [InlineData(true, "said to be somebody else's number, so no text goes to it")]
    public async Task After_a_STOP_or_a_wrong_number_no_page_promises_a_text_and_staff_read_what_became_of_it(bool wrongNumber, string why)
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which?"));
        Assert.Contains("Your question: a text waits to be sent, not before 14 May 2031, 08:00.", await Read(desk, Page));
        await Stop("+12125550177", wrongNumber);
        foreach (var page in new[] { $"{Page}/Ask", $"{Page}/Visit", Page })
        {
            var shown = await Read(desk, page);
            Assert.Contains(why, shown);
            Assert.DoesNotContain("A text says", shown);
            Assert.DoesNotContain("can have a new one texted from", shown);
        }

        portal.Clock.Advance(TimeSpan.FromHours(4));
        await person.RunDueJobs();
        desk = await portal.SignedIn(clinic, "later");
        Assert.Contains($"Your question: the text was not sent: {why}", await Read(desk, Page));
    }

    [Fact]
    public async Task Who_may_be_texted_is_promised_a_text_and_staff_read_that_it_arrived()
    {
        Assert.Contains("A text says", await Read(desk, $"{Page}/Ask"));
        Assert.Contains("At this hour the text waits until 14 May 2031, 08:00", await Read(desk, $"{Page}/Visit"));
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which?"));
        await person.InClinic(async db =>
        {
            var text = await db.Outgoing.SingleAsync();
            (text.State, text.AnsweredAt) = (OutgoingState.Accepted, NodaTime.Instant.FromUtc(2031, 5, 14, 12, 0));
            db.Add(new DeliveryRow { ClinicId = clinic, OutgoingId = text.Id, Status = "delivered", ReceivedAt = NodaTime.Instant.FromUtc(2031, 5, 14, 12, 1) });
            return await db.SaveChangesAsync();
        });
        Assert.Contains("Your question: a text was sent to +12125550177 on 14 May 2031, 08:00 and arrived.", await Read(desk, Page));
        await person.InClinic(db => db.Deliveries.ExecuteUpdateAsync(s => s.SetProperty(d => d.Status, "undelivered")));
        Assert.Contains("and did not arrive: ring.", await Read(desk, Page));
    }

    [Fact]
    public async Task Whoever_wanted_no_texts_about_this_intake_gets_none_though_she_agreed_to_others_before()
    {
        var known = await person.InClinic(async db =>
        {
            await db.Intakes.ExecuteUpdateAsync(set => set.SetProperty(i => i.MayText, false));
            var row = db.Add(new PatientRow { Name = "Jonas Lind", Number = "+12125550190", AgreedToTextsAt = NodaTime.Instant.FromUtc(2031, 1, 1, 0, 0) }).Entity;
            await db.SaveChangesAsync();
            return row.Id;
        });
        await Portal_with_staff.Send(desk, Page, ("Choice", "Accepted"), ("Until", ""), ("Reason", "Seen"), ("Words", "Please come."), ("Who", $"{known}"), ("Wanted", "Jonas"));
        Assert.Equal(0, await person.InClinic(db => db.Outgoing.CountAsync()));
        Assert.Contains("none are wanted; ring", await Read(desk, Page));
        await person.InClinic(db => db.Patients.Where(p => p.Id == known).ExecuteUpdateAsync(set => set.SetProperty(p => p.AgreedToTextsAt, NodaTime.Instant.FromUtc(2031, 5, 14, 12, 0))));
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which?"));
        Assert.Equal("+12125550190", await person.InClinic(db => db.Outgoing.Select(o => o.To).SingleAsync()));
    }

    [Fact]
    public async Task After_two_changes_in_one_night_and_after_a_text_to_a_number_that_was_wrong_staff_are_told_to_ring()
    {
        await Invited();
        await Visit("2031-05-14", "09:00");
        await Visit("2031-06-20", "09:00");
        await Visit("2031-06-21", "09:00");
        Assert.Contains("the visit was to begin on 14 May 2031, 09:00. Ring", await Read(desk, Page));

        portal.Clock.Advance(TimeSpan.FromHours(4));
        await person.RunDueJobs();
        desk = await portal.SignedIn(clinic, "later");
        await person.InClinic(db => db.Outgoing.ExecuteUpdateAsync(set => set.SetProperty(o => o.State, OutgoingState.Accepted).SetProperty(o => o.AnsweredAt, NodaTime.Instant.FromUtc(2031, 5, 14, 12, 0))));
        Assert.Contains("a text was sent to +12125550177 on 14 May 2031, 08:00; that it arrived is not known.", await Read(desk, Page));
        await person.InClinic(db => db.Patients.ExecuteUpdateAsync(set => set.SetProperty(p => p.Number, "+12125550191")));
        Assert.Contains("a text was sent to +12125550177 on 14 May 2031, 08:00, which is not this person's number now: ring.", await Read(desk, Page));
    }

    [Theory]
    [InlineData("call off", "The visit was called off.", "would begin on 14 May 2031, 09:00")]
    [InlineData("move", "The visit was moved.", "was to begin on 14 May 2031, 09:00")]
    [InlineData("invite", "The invitation to a visit.", "begins on 14 May 2031, 09:00")]
    public async Task A_word_on_a_visit_that_no_text_brings_in_time_tells_staff_to_ring(string act, string about, string when)
    {
        await Invited();                                                                // five in the morning: a text waits until eight
        var kept = await Visit("2031-05-14", "09:00");
        if (act == "call off") kept = await Portal_with_staff.Post(desk, $"{Page}/Visit?handler=Cancel", await desk.GetStringAsync($"{Page}/Visit"));
        if (act == "move") kept = await Visit("2031-06-20", "09:00");
        Assert.EndsWith("#told", kept.Headers.Location!.OriginalString);
        var shown = await Read(desk, Page);
        Assert.Contains($"<strong>{about}</strong> No text tells this person of it in time: the visit {when}. Ring", shown);
        Assert.Contains("tel:+12125550177", shown);
    }

    [Fact]
    public async Task A_word_on_a_visit_that_a_text_brings_in_time_asks_nobody_to_ring()
    {
        await Invited();
        await Visit("2031-05-14", "16:00");
        await Portal_with_staff.Post(desk, $"{Page}/Visit?handler=Cancel", await desk.GetStringAsync($"{Page}/Visit"));
        var shown = await Read(desk, Page);
        Assert.DoesNotContain("in time", shown);
        Assert.Contains("The visit was called off: a text waits to be sent, not before 14 May 2031, 08:00.", shown);
    }

    [Fact]
    public async Task An_override_stands_beside_its_finding_with_reason_consequence_and_name_and_the_next_one_beside_it()
    {
        var before = await person.Show(person.Link + "/result");
        await Portal_with_staff.Send(desk, $"{Page}/Finding/1", ("Becomes", "SetAside"), ("Reason", "Rang: a friend <stays>"), ("Consequence", "Written down, asked again on the day"));
        await Portal_with_staff.Send(desk, $"{Page}/Finding/1", ("Becomes", "ClearFirst"), ("Reason", "The friend cannot"), ("Consequence", "Another day"));
        var shown = await Read(desk, Page);
        Assert.Contains("For this person: Set aside.", shown);
        Assert.Contains("Rang: a friend <stays>", shown);
        Assert.Contains("What follows: Another day", shown);
        Assert.Contains("mara, 14 May 2031, 05:00", shown);
        Assert.Matches("<strong>Overridden:</strong> <a href=\"#finding-1\">[^<]+</a> counts here as clear first, by Dr mara", shown);
        Assert.Equal(before, await person.Show(person.Link + "/result"));
        Assert.Equal(2, await person.InClinic(db => db.Overrides.CountAsync()));
    }

    [Theory]
    [InlineData("", "why", "what", "what the finding counts as")]
    [InlineData("Cleared", "why", "what", "what the finding counts as")]
    [InlineData("Wait", "", "what", "your reason")]
    [InlineData("Wait", "why", " ", "what follows")]
    public async Task Without_kind_reason_or_consequence_nothing_is_overridden(string becomes, string reason, string consequence, string said)
    {
        var refused = await Portal_with_staff.Send(desk, $"{Page}/Finding/1", ("Becomes", becomes), ("Reason", reason), ("Consequence", consequence));
        Assert.Contains(said, await refused.Content.ReadAsStringAsync());
        Assert.Equal(0, await person.InClinic(db => db.Overrides.CountAsync()));
        Assert.Equal(HttpStatusCode.NotFound, (await desk.GetAsync($"{Page}/Finding/99")).StatusCode);
    }

    [Fact]
    public async Task Staff_and_person_count_the_same_or_the_page_says_why()
    {
        var result = IntakeResult.FromJson(await person.InClinic(db => db.IntakeResults.Select(r => r.Json).SingleAsync()));
        var read = await person.Show(person.Link + "/result");
        Assert.Equal(System.Text.RegularExpressions.Regex.Count(read, "<article class=\"card\">"), Enum.GetValues<AftercarePortal.Clinical.Candidacy.FindingKind>().Sum(k => FindingsForStaff.ReadOf(result, k)));
        Assert.Contains($"{FindingsForStaff.ReadOf(result, AftercarePortal.Clinical.Candidacy.FindingKind.ClearFirst)} to clear first", await desk.GetStringAsync("/Review"));
        var one = result.Findings[0];
        var more = result with { Findings = [one with { FromDoubt = false }, one with { RuleId = "a", ForClinician = true }, one with { RuleId = "b", Covered = true, FromDoubt = false }] };
        Assert.Equal("The person reads 1; here are 3: 1 for you alone, 1 said to the person by another finding.", FindingsForStaff.MoreThanRead(more));
    }

    [Fact]
    public async Task A_question_goes_to_the_private_page_the_text_holds_no_word_of_it_and_the_answer_comes_back_into_the_queue()
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which <medicine> do you take?"));
        var text = await person.InClinic(db => db.Outgoing.SingleAsync());
        Assert.Equal((OutgoingKind.Notice, "+12125550177"), (text.Kind, text.To));
        Assert.DoesNotContain("medicine", text.Text);
        Assert.True(text.Text.Length <= 160);
        Assert.Contains("no answer yet", await desk.GetStringAsync("/Review"));
        Assert.Contains("/asked", await person.Show(person.Link + "/result"));
        Assert.Contains("Which <medicine> do you take?", await person.Show(person.Link + "/asked"));
        await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "A small blue <pill>"));
        Assert.Contains("Your answer was sent", await person.Show(person.Link + "/asked"));
        Assert.DoesNotContain("/asked", await person.Show(person.Link + "/result"));
        Assert.Contains("Has answered your question", await desk.GetStringAsync("/Review"));
        Assert.Contains("A small blue <pill>", await Read(desk, Page));
        // The same words once more are nothing new.
        await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "A small blue <pill>"));
        Assert.Equal(1, await person.InClinic(db => db.Questions.CountAsync()));
        await Portal_with_staff.Post(desk, $"{Page}?handler=Read", (await desk.GetStringAsync(Page)).Replace("name=\"through\" value=\"1\"", "name=\"through\" value=\"0\"", StringComparison.Ordinal));
        Assert.Contains("Has answered", await desk.GetStringAsync("/Review"));       // a page that showed no answer yet
        await Portal_with_staff.Post(desk, $"{Page}?handler=Read", await desk.GetStringAsync(Page));
        Assert.DoesNotContain("Has answered", await desk.GetStringAsync("/Review"));
        Assert.Contains("read by Dr mara", await Read(desk, Page));
        Assert.Equal(0, await person.InClinic(db => db.Messages.CountAsync()));
    }

    [Fact]
    public async Task Other_words_to_an_answered_question_are_kept_beside_the_answer_and_wait_to_be_read()
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which <medicine> do you take?"));
        await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "A small blue pill"));
        await Portal_with_staff.Post(desk, $"{Page}?handler=Read", await desk.GetStringAsync(Page));
        for (var i = 0; i < 2; i++) await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "No, a red one"));      // from a second tab, tapped twice
        var shown = await person.Show(person.Link + "/asked");
        Assert.Contains("Your answer was sent", shown);
        Assert.Contains("A small blue pill", shown);
        Assert.Contains("No, a red one", shown);
        Assert.Contains("Has answered your question", await desk.GetStringAsync("/Review"));
        var read = await Read(desk, Page);
        Assert.Contains("A small blue pill", read);
        Assert.Contains("No, a red one", read);
        Assert.Contains("Written to this question later", read);
        await Portal_with_staff.Post(desk, $"{Page}?handler=Read", await desk.GetStringAsync(Page));
        Assert.DoesNotContain("Has answered", await desk.GetStringAsync("/Review"));
        Assert.Equal(2, await person.InClinic(db => db.Questions.CountAsync()));
        // The next question goes on as ever.
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "And since when?"));
        Assert.Contains("And since when?", await person.Show(person.Link + "/asked"));
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task A_sign_in_words_that_come_to_an_answered_question_is_read_whether_or_not_another_one_waits(bool askedOther)
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "How are you?"));
        await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "Well, thank you"));
        if (askedOther) await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Are you pregnant?"));
        for (var i = 0; i < 2; i++)
        {
            var answer = await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "I want to die"));
            var shown = askedOther ? answer : await person.Show(person.Link + "/asked");
            Assert.Contains("may need help sooner", shown);
            Assert.Contains("I want to die", shown);
        }

        var message = await person.InClinic(db => db.Messages.SingleAsync());
        Assert.Equal(("I want to die", MessageRow.FromIntake), (message.Text, message.RawForm));
        Assert.True(await person.InClinic(db => db.Jobs.AnyAsync(j => j.Subject == message.Id.ToString() && j.Kind == MessageJobs.ReadIntake)));
    }

    [Fact]
    public async Task A_question_answered_otherwise_is_closed_with_a_word_the_person_reads_it_and_another_can_be_asked()
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which medicine?"));
        Assert.Contains("Write how it was answered", await (await Close_question(" ")).Content.ReadAsStringAsync());
        Assert.Equal(HttpStatusCode.Redirect, (await Close_question("answered by telephone")).StatusCode);
        Assert.Contains("Closed by Dr mara, 14 May 2031, 05:00: answered by telephone", await Read(desk, Page));
        Assert.DoesNotContain("no answer yet", await desk.GetStringAsync("/Review"));
        Assert.DoesNotContain("/asked", await person.Show(person.Link + "/result"));
        var shown = await person.Show(person.Link + "/asked");
        Assert.Contains("The clinic has closed this question", shown);
        Assert.DoesNotContain("<textarea", shown);
        // What was being written meanwhile is not lost.
        await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "A small blue pill"));
        Assert.Contains("A small blue pill", await Read(desk, Page));
        Assert.Contains("Has answered your question", await desk.GetStringAsync("/Review"));
        Assert.Equal(HttpStatusCode.Redirect, (await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Since when?"))).StatusCode);
        Assert.Contains("Since when?", await person.Show(person.Link + "/asked"));
    }

    [Fact]
    public async Task A_question_answered_while_somebody_closes_it_is_not_closed()
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which medicine?"));
        var older = await desk.GetStringAsync(Page);
        await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "A small blue pill"));
        var told = await (await Portal_with_staff.Post(desk, $"{Page}?handler=CloseQuestion", older, ("number", "1"), ("ClosedWith", "rang"))).Content.ReadAsStringAsync();
        Assert.Contains("has answered meanwhile", told);
        Assert.Null(await person.InClinic(db => db.Questions.Select(q => q.ClosedBy).SingleAsync()));
    }

    [Fact]
    public async Task An_answer_brings_even_a_decided_intake_back_and_a_warning_sign_in_it_pages_like_one_in_an_intake()
    {
        await Invited();
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "How are you?"));
        await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "I want to die"));
        Assert.Contains("may need help sooner", await person.Show(person.Link + "/asked"));
        Assert.Contains("Own words that should not wait", await desk.GetStringAsync("/Review"));
        var message = await person.InClinic(db => db.Messages.SingleAsync());
        Assert.Equal(("I want to die", MessageRow.FromIntake), (message.Text, message.RawForm));
        Assert.True(await person.InClinic(db => db.Jobs.AnyAsync(j => j.Subject == message.Id.ToString() && j.Kind == MessageJobs.ReadIntake)));
    }

    [Fact]
    public async Task An_answer_written_to_an_earlier_question_is_not_kept_under_a_later_one_and_what_was_typed_stays()
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Do you take blood thinners?"));
        await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "Yes, one"));
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Are you pregnant?"));
        var shown = await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "No, none at all"));
        Assert.Contains("asked something else meanwhile", shown);
        Assert.Contains("Are you pregnant?", shown);
        Assert.Contains("No, none at all", shown);
        Assert.Contains("name=\"Number\" value=\"2\"", shown);
        Assert.Null((await person.InClinic(db => db.Questions.SingleAsync(q => q.Number == 2))).Answer);
    }

    [Fact]
    public async Task An_answer_too_long_with_a_sign_in_it_says_whom_to_ring_and_pages_with_every_word()
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "How are you?"));
        var typed = new string('x', 4000) + " I want to die";
        for (var i = 0; i < 2; i++)
        {
            var shown = await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", typed));
            Assert.Contains("Please shorten this", shown);
            Assert.Contains("may need help sooner", shown);
            Assert.Contains("tel:911", shown);
            Assert.Contains(typed, shown);
        }

        Assert.Equal(typed, (await person.InClinic(db => db.Messages.SingleAsync())).Text);
        Assert.Equal(1, await person.InClinic(db => db.Jobs.CountAsync(j => j.Kind == MessageJobs.ReadIntake)));
        Assert.Null(await person.InClinic(db => db.Questions.Select(q => q.Answer).SingleAsync()));
    }

    [Fact]
    public async Task An_emergency_in_the_middle_of_a_very_long_answer_is_reported_as_one_with_the_words_it_stands_in()
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "How are you?"));
        var typed = string.Concat(Enumerable.Repeat("It is all as it was. ", 250)) + "I want to die. " + string.Concat(Enumerable.Repeat("It is all as it was. ", 190));
        await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", typed));
        await person.RunDueJobs();
        Assert.Equal(Tier.Emergency, await person.InClinic(db => db.Escalations.Select(e => e.Tier).SingleAsync()));
        var clue = System.Text.Json.JsonSerializer.Deserialize<Reading>(await person.InClinic(db => db.Readings.Select(r => r.Json).SingleAsync()))!.Clues[0];
        Assert.Contains("die", typed[clue.Start..clue.End]);
    }

    [Fact]
    public async Task Answers_without_end_wait_and_lose_nothing_and_a_sign_among_them_says_whom_to_ring()
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which?"));
        for (var i = 0; i < 20; i++) await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", $"Pill number {i}"));
        Assert.Equal(20, await person.InClinic(db => db.Questions.CountAsync()));
        var shown = await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", "I want to die"));
        Assert.Equal(HttpStatusCode.TooManyRequests, person.Status);
        Assert.Contains("Not kept yet", shown);
        Assert.Contains("I want to die</textarea>", shown);
        Assert.Contains("may need help sooner", shown);
        Assert.Contains("tel:911", shown);
        Assert.Equal(20, await person.InClinic(db => db.Questions.CountAsync()));
    }

    [Theory]
    [InlineData("")]
    [InlineData("long")]
    public async Task An_answer_without_words_or_too_long_is_refused_and_what_was_typed_stays(string words)
    {
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which?"));
        var typed = words.Length == 0 ? "" : new string('x', 4001);
        var shown = await person.Post(person.Link + "/asked", ("Number", "1"), ("Words", typed));
        Assert.Contains(words.Length == 0 ? "Please write something" : "Please shorten this", shown);
        Assert.Contains(typed, shown);
        Assert.Null((await person.InClinic(db => db.Questions.SingleAsync())).Answer);
    }

    [Fact]
    public async Task One_question_at_a_time_and_none_without_words()
    {
        Assert.Contains("Write one question", await (await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", " "))).Content.ReadAsStringAsync());
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which?"));
        Assert.Contains("not answered yet", await (await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "And how?"))).Content.ReadAsStringAsync());
        Assert.Equal(1, await person.InClinic(db => db.Questions.CountAsync()));
    }

    [Theory]
    [InlineData("decide")]
    [InlineData("ask")]
    public async Task No_notice_points_to_an_ended_link(string what)
    {
        portal.Clock.Advance(TimeSpan.FromDays(40));
        Assert.Contains("This link has ended", await person.Show(person.Link + "/result"));
        desk = await portal.SignedIn(clinic, "later");
        if (what == "decide") await Invited();
        else await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Still there?"));
        Assert.Equal(1, await person.InClinic(db => db.Outgoing.CountAsync()));
        Assert.Contains(what == "decide" ? "Please come and talk." : "/asked", await person.Show(person.Link + "/result"));
        portal.Clock.Advance(TimeSpan.FromDays(29));
        Assert.DoesNotContain("This link has ended", await person.Show(person.Link + "/result"));
    }

    [Fact]
    public async Task An_invitation_stands_on_the_private_page_can_be_moved_and_called_off_and_every_word_is_kept()
    {
        Assert.Contains("Decide first", await (await Visit("2031-06-02", "09:30")).Content.ReadAsStringAsync());
        await Invited();
        Assert.Equal(HttpStatusCode.Redirect, (await Visit("2031-06-02", "09:30")).StatusCode);
        Assert.Contains("2 June 2031 at 09:30, about 30 minutes. Where: Room 2, Easthaven.", await person.Show(person.Link + "/result"));
        await Visit("2031-07-20", "10:00");
        Assert.Contains("20 July 2031 at 10:00", await person.Show(person.Link + "/result"));
        var html = await desk.GetStringAsync($"{Page}/Visit");
        await Portal_with_staff.Post(desk, $"{Page}/Visit?handler=Cancel", html);
        Assert.Contains("The visit on 20 July 2031 at 10:00 was called off.", await person.Show(person.Link + "/result"));
        Assert.Equal(3, await person.InClinic(db => db.Visits.CountAsync()));
        var texts = await person.InClinic(db => db.Outgoing.Where(o => o.Key.StartsWith("visit:")).Select(o => o.Text).ToListAsync());
        Assert.Equal(3, texts.Count);
        Assert.All(texts, t => Assert.DoesNotMatch("July|June|2031|10:00", t));
        // A calendar file opens as long as the visit lies ahead.
        portal.Clock.Advance(TimeSpan.FromDays(60));
        Assert.Contains("called off", await person.Show(person.Link + "/result"));
    }

    [Fact]
    [Source("RFC 5545", at: "3.1 content lines (CRLF, 75 octets), 3.6.1 VEVENT (UID and DTSTAMP required), 3.8.7.4 SEQUENCE, 3.8.1.11 STATUS, 3.3.11 escaping of commas")]
    public async Task The_calendar_file_is_an_event_that_keeps_its_id_and_counts_its_changes()
    {
        await Invited();
        await Visit("2031-06-02", "09:30");
        var first = await person.Show(person.Link + "/visit.ics");
        await Visit("2031-11-02", "01:30");                     // the clocks go back: of the two the first
        var second = await person.Show(person.Link + "/visit.ics");
        await Portal_with_staff.Post(desk, $"{Page}/Visit?handler=Cancel", await desk.GetStringAsync($"{Page}/Visit"));
        var third = await person.Show(person.Link + "/visit.ics");
        Assert.All([first, second, third], file =>
        {
            var lines = file.Split("\r\n");
            Assert.Equal(("BEGIN:VCALENDAR", "END:VCALENDAR", ""), (lines[0], lines[^2], lines[^1]));
            Assert.All(lines, l => Assert.True(Encoding.UTF8.GetByteCount(l) <= 75 && !l.Contains('\n')));
            Assert.Contains("VERSION:2.0", lines);
            Assert.Single(lines, l => l.StartsWith("UID:", StringComparison.Ordinal));
            Assert.Single(lines, l => l.StartsWith("DTSTAMP:2031", StringComparison.Ordinal));
            Assert.Contains(@"LOCATION:Room 2\, Easthaven", lines);
            Assert.DoesNotContain("Jonas", file);
        });
        Assert.Single(new[] { first, second, third }.Select(f => Calendar.Load(f)!.Events.Single().Uid).Distinct());
        Assert.Contains("DTSTART:20310602T133000Z", first);
        Assert.Contains("DTEND:20310602T140000Z", first);
        Assert.Contains("SEQUENCE:0", first);
        Assert.Contains("DTSTART:20311102T053000Z", second);
        Assert.Contains("SEQUENCE:1", second);
        Assert.Contains("STATUS:CONFIRMED", second);
        Assert.Contains("SEQUENCE:2", third);
        Assert.Contains("STATUS:CANCELLED", third);
        Assert.Contains("METHOD:CANCEL", third);
    }

    [Theory]
    [InlineData("2031-03-01", "09:30", "30", "in the future")]
    [InlineData("2032-03-14", "02:30", "30", "clocks skip this time")]
    [InlineData("soon", "09:30", "30", "Give a day and a time")]
    [InlineData("2031-06-02", "9", "30", "Give a day and a time")]
    [InlineData("2031-06-02", "09:30", "4", "length in minutes")]
    [InlineData("2031-06-02", "09:30", "99999999999", "length in minutes")]
    public async Task A_visit_that_cannot_be_is_refused_and_what_was_typed_stays(string day, string at, string minutes, string said)
    {
        await Invited();
        var html = await (await Visit(day, at, minutes)).Content.ReadAsStringAsync();
        Assert.Contains(said, html);
        Assert.Contains($"value=\"{at}\"", html);
        Assert.Equal(0, await person.InClinic(db => db.Visits.CountAsync()));
    }

    [Fact]
    public async Task Another_clinic_and_another_link_find_nothing_of_it()
    {
        await Invited();
        await Visit("2031-06-02", "09:30");
        await Portal_with_staff.Send(desk, $"{Page}/Ask", ("Words", "Which?"));
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        var theirs = await portal.SignedIn(other, "otto");
        foreach (var page in new[] { $"{Page}/Finding/1", $"{Page}/Ask", $"{Page}/Visit" }) Assert.Equal(HttpStatusCode.NotFound, (await theirs.GetAsync(page)).StatusCode);
        var stranger = new Intake_of(portal, clinic);
        await stranger.Start();
        Assert.DoesNotContain("Which?", await stranger.Show(stranger.Link + "/asked"));
        await stranger.Show(stranger.Link + "/visit.ics");
        Assert.Equal(HttpStatusCode.NotFound, stranger.Status);
    }

    [Theory]
    [InlineData("Declined", "")]
    [InlineData("Deferred", "2031-08-01")]
    public async Task While_a_visit_stands_a_person_is_not_sent_away_and_once_it_is_called_off_she_is(string choice, string until)
    {
        await Invited();
        await Visit("2031-06-02", "09:30");
        Task<HttpResponseMessage> Decide() => Portal_with_staff.Send(desk, Page, ("Choice", choice), ("Until", until), ("Reason", "Seen again"), ("Words", "Not now, we are sorry."));
        var refused = await (await Decide()).Content.ReadAsStringAsync();
        Assert.Contains("Call the visit off first.", refused);
        Assert.Contains("Not now, we are sorry.</textarea>", refused);
        Assert.Equal(1, await person.InClinic(db => db.Decisions.CountAsync()));
        await Portal_with_staff.Post(desk, $"{Page}/Visit?handler=Cancel", await desk.GetStringAsync($"{Page}/Visit"));
        Assert.Equal(HttpStatusCode.Redirect, (await Decide()).StatusCode);
    }

    [Fact]
    public async Task Of_a_visit_and_a_refusal_written_in_the_same_moment_one_is_told_so_nobody_is_sent_away_with_a_visit_standing()
    {
        await Invited();
        var other = await portal.SignedIn(clinic, "jonas");
        for (var round = 0; round < 4; round++)
        {
            var (visit, page) = (await desk.GetStringAsync($"{Page}/Visit"), await other.GetStringAsync(Page));
            var answers = await Task.WhenAll(
                Portal_with_staff.Post(desk, $"{Page}/Visit", visit, ("Form.Day", "2031-06-02"), ("Form.At", "09:30"), ("Form.Minutes", "30")),
                Portal_with_staff.Post(other, Page, page, ("Choice", "Declined"), ("Reason", "Seen again"), ("Words", "Not now, we are sorry.")));
            Assert.Single(answers, a => a.StatusCode is HttpStatusCode.Redirect);
            var (declined, stands) = await person.InClinic(async db => (await db.Decisions.OrderBy(d => d.Number).Select(d => d.Decision).LastAsync() is Decision.Declined, await db.Visits.OrderBy(v => v.Number).LastOrDefaultAsync() is { Cancelled: false }));
            Assert.True(declined != stands);
            if (stands) await Portal_with_staff.Post(desk, $"{Page}/Visit?handler=Cancel", await desk.GetStringAsync($"{Page}/Visit"));
            else await Invited();
        }
    }
}
