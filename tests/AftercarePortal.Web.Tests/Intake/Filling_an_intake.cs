using System.Net;
using AftercarePortal.Testing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace AftercarePortal.Web.Tests.Intake;

/// <summary>The same sentences on every database: <paramref name="settings"/> names it.</summary>
public abstract class Filling_an_intake(params string[] settings) : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private Intake_of person = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open([.. settings, "--Intake:MostAnswers=5000"]);      // hundreds of hostile strings, one after the other
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        person = new(portal, clinic);
    }

    public virtual async Task DisposeAsync() => await portal.DisposeAsync();

    [Fact]
    public async Task Answered_skipped_and_not_sure_are_kept_as_three_different_things()
    {
        await person.Start();
        await person.Born(1988);
        await person.Answer(("choice", "female"));
        await person.Answer(("choice", "not-sure"));
        await person.Skip();
        Assert.Equal(
            [AnswerState.Answered, AnswerState.Answered, AnswerState.NotSure, AnswerState.Skipped],
            await person.InClinic(db => db.IntakeAnswers.OrderBy(a => a.Id).Select(a => a.State).ToListAsync()));
    }

    [Fact]
    public async Task The_private_link_leads_back_to_the_next_open_question_and_the_database_knows_only_its_hash()
    {
        await person.Start();
        await person.Born(1988);
        await person.Answer(("choice", "female"));
        var expected = person.At;
        await person.Show(person.Link);
        Assert.Equal(expected, person.At);
        var secret = person.Link["/Intake/".Length..];
        var kept = await person.InClinic(db => db.Intakes.SingleAsync());
        Assert.Equal(64, kept.LinkHash.Length);
        Assert.DoesNotContain(secret, System.Text.Json.JsonSerializer.Serialize(kept), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("31", "2", "1988", "There is no such day")]
    [InlineData("", "2", "1988", "day, month and year")]
    [InlineData("1", "2", "88", "four digits")]
    [InlineData("1", "2", "2099", "still to come")]
    [InlineData("<b>1</b>", "13", "٣", "day, month and year")]
    public async Task A_date_that_cannot_be_used_is_refused_in_words_and_stays_as_typed_also_after_coming_back(string day, string month, string year, string problem)
    {
        await person.Start();
        var page = await person.Answer(("day", day), ("month", month), ("year", year));
        Assert.Equal(HttpStatusCode.OK, person.Status);
        foreach (var shown in new[] { page, await person.Show(person.Link) })
        {
            Assert.Contains(problem, shown, StringComparison.Ordinal);
            Assert.Contains($"name=\"day\" value=\"{day}\"", shown, StringComparison.Ordinal);
            Assert.Contains($"name=\"year\" value=\"{year}\"", shown, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task The_date_of_birth_cannot_be_left_out()
    {
        await person.Start();
        Assert.Contains("day, month and year", await person.Skip(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task None_of_these_beside_something_else_is_asked_about_and_both_ticks_stay()
    {
        await person.Start();
        await person.Born(1988);
        while (!(await person.Show()).Contains("value=\"several-serious\"", StringComparison.Ordinal)) await person.Skip();
        var page = await person.Answer(("choice", "several-serious"), ("choice", "none"));
        Assert.Contains("cannot both be right", page, StringComparison.Ordinal);
        Assert.Matches("value=\"several-serious\"[^>]*checked", page);
        Assert.Matches("value=\"none\"[^>]*checked", page);
    }

    [Fact]
    public async Task A_choice_that_was_never_offered_is_not_taken()
    {
        await person.Start();
        await person.Born(1988);
        Assert.Contains("Please choose", await person.Answer(("choice", "maybe; DROP TABLE")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_follow_up_is_asked_only_of_those_it_is_about_and_counts_only_while_it_is_asked()
    {
        await person.Start();
        await person.Born(1988);
        while (!(await person.Show()).Contains("value=\"vaccine\"", StringComparison.Ordinal)) await person.Skip();
        var recent = person.At;
        await person.Answer(("choice", "vaccine"));
        Assert.Contains("vaccine?", Intake_of.QuestionOn(await person.Show()), StringComparison.Ordinal);
        await person.Answer(("day", "1"), ("month", "5"), ("year", "2031"));
        await person.Post(recent, ("choice", "none"), ("act", "answer"));
        await person.Rest();
        Assert.DoesNotContain("What day was the vaccine", await person.Show(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("2", "weeks", "between ")]
    [InlineData("0", "days", "between ")]
    [InlineData("two", "weeks", "whole number")]
    [InlineData("999", "weeks", "whole number")]
    [InlineData("2", "moons", "days, weeks or months")]
    public async Task A_day_gone_by_may_be_only_about_right(string about, string unit, string shown)
    {
        await person.Start();
        await person.Born(1988);
        while (!(await person.Show()).Contains("value=\"vaccine\"", StringComparison.Ordinal)) await person.Skip();
        await person.Answer(("choice", "vaccine"));
        var page = await person.Answer(("day", ""), ("month", ""), ("year", ""), ("about", about), ("unit", unit));
        if (page.Length == 0) await person.Rest();
        Assert.Contains(shown, page.Length > 0 ? page : await person.Show(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_day_wished_for_lies_ahead_and_a_wait_that_ends_before_it_is_said_as_such()
    {
        await person.Start();
        await person.Born(1988);
        while (!(await person.Show()).Contains("value=\"vaccine\"", StringComparison.Ordinal)) await person.Skip();
        await person.Answer(("choice", "vaccine"));
        await person.Answer(("about", "1"), ("unit", "weeks"), ("day", ""), ("year", ""));
        while (!(await person.Show()).Contains("From what day", StringComparison.Ordinal))
        {
            if ((await person.Show()).Contains("value=\"ha-filler\"", StringComparison.Ordinal)) await person.Answer(("choice", "ha-filler"));
            else if ((await person.Show()).Contains("value=\"none\"", StringComparison.Ordinal)) await person.Answer(("choice", "none"));
            else await person.Skip();
        }

        Assert.Contains("has gone by", await person.Answer(("day", "1"), ("month", "2"), ("year", "2001")), StringComparison.Ordinal);
        await person.Answer(("day", "1"), ("month", "2"), ("year", "2100"));
        await person.Rest();
        await person.Post(person.At);
        Assert.Contains("This ends by the day you wish for, 1 February 2100.", await person.Show(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_hangs_on_one_answer_not_known_is_said_as_one_with_the_way_to_answer_it()
    {
        await person.Start();
        await person.Born(1988);
        for (var i = 0; i < 60 && !person.At.EndsWith("/check", StringComparison.Ordinal); i++) await person.Skip();
        await person.Post(person.At);
        var page = await person.Show();
        Assert.InRange(page.Split("<article").Length - 1, 10, 30);
        Assert.Contains("ring the emergency number now", page, StringComparison.Ordinal);
        Assert.Contains("Answer it now", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Words_about_self_harm_get_a_way_forward_first()
    {
        var page = await person.Result("if this does not work I want to kill myself");
        var settle = page[page.IndexOf("To settle first", StringComparison.Ordinal)..];
        Assert.Contains("Please do not stay alone with it", settle, StringComparison.Ordinal);
        Assert.Contains("ring <a class=\"ring\" href=\"tel:911\">911</a> now", page, StringComparison.Ordinal);      // a tap rings
    }

    [Fact]
    public async Task Under_18_stops_kindly_and_no_result_can_be_had()
    {
        await person.Start();
        await person.Born(2016);
        Assert.EndsWith("/stopped", person.At, StringComparison.Ordinal);
        Assert.Contains("Thank you for being open", await person.Show(), StringComparison.Ordinal);
        await person.Post($"{person.Link}/check");
        Assert.EndsWith("/stopped", person.At, StringComparison.Ordinal);
        Assert.Equal(0, await person.InClinic(db => db.IntakeResults.CountAsync()));
    }

    [Fact]
    public async Task The_result_never_clears_and_says_who_decides()
    {
        var page = await person.Result();
        Assert.Contains("A licensed clinician has to see you, and decides", page, StringComparison.Ordinal);
        foreach (var word in new[] { "suitable", "you are fine", "no risk", "approved", "cleared" }) Assert.DoesNotContain(word, page, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task The_price_is_a_range_with_its_reasons_and_is_kept_whole()
    {
        await person.Start();
        await person.Born(1988);
        while (!(await person.Show()).Contains("value=\"jaw-body\"", StringComparison.Ordinal)) await person.Skip();
        await person.Answer(("choice", "jaw-body"));
        await person.Rest();
        await person.Post(person.At);
        var page = await person.Show();
        Assert.Contains("This is information, not an offer", page, StringComparison.Ordinal);
        Assert.Contains("Why nobody can name one figure", page, StringComparison.Ordinal);
        var kept = IntakeResult.FromJson(await person.InClinic(db => db.IntakeResults.Select(r => r.Json).SingleAsync()));
        Assert.Contains(kept.Price!.Central.ToString(), page, StringComparison.Ordinal);
        Assert.Equal(1, kept.Price.Chances.Sum(c => c.Probability), 1e-6);
        Assert.True(kept.Price.Central.From.Minor < kept.Price.Central.To.Minor);
    }

    [Fact]
    public async Task Without_a_wished_place_the_page_says_why_there_is_no_range_yet() =>
        Assert.Contains("We cannot say yet, because", await person.Result(), StringComparison.Ordinal);

    [Fact]
    public async Task A_clinic_without_a_price_list_never_shows_another_clinics_prices()
    {
        await person.InClinic(db => db.Clinics.ExecuteUpdateAsync(set => set.SetProperty(c => c.PriceList, (string?)null)));
        var page = await person.Result();
        Assert.Contains("We cannot say yet what it may cost. Wrenfold Clinic will tell you", page, StringComparison.Ordinal);
        Assert.DoesNotContain("set its prices", page, StringComparison.Ordinal);
        Assert.Contains("the clinic has not set its prices", IntakeResult.FromJson(await person.InClinic(db => db.IntakeResults.Select(r => r.Json).SingleAsync())).NoPriceBecause);
    }

    [Fact]
    public async Task A_question_left_out_counts_as_the_flagging_answer()
    {
        await person.Start();
        await person.Born(1988);
        for (var i = 0; i < 60 && !person.At.EndsWith("/check", StringComparison.Ordinal); i++) await person.Skip();
        await person.Post(person.At);
        var page = await person.Show();
        Assert.Contains("To settle first", page, StringComparison.Ordinal);
        Assert.Contains("As long as we do not know this", page, StringComparison.Ordinal);
        Assert.Contains("Left out", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_changed_answer_takes_the_old_result_from_view_and_keeps_it_in_the_record()
    {
        await person.Result();
        portal.Clock.Advance(TimeSpan.FromMinutes(1));
        await person.Post($"{person.Link}/2", ("choice", "other"), ("act", "answer"));
        await person.Show($"{person.Link}/result");
        Assert.EndsWith("/check", person.At, StringComparison.Ordinal);
        await person.Post(person.At);
        Assert.Equal(2, await person.InClinic(db => db.IntakeResults.CountAsync()));
    }

    [Fact]
    public async Task Sent_twice_at_once_it_is_sent_once_and_no_answer_changes_any_more()
    {
        await person.Result();
        await Task.WhenAll(person.Send(), person.Send());
        var sent = await person.InClinic(db => db.Intakes.SingleAsync());
        Assert.Equal(("Jonas Lind", "+12125550177", true), (sent.Name, sent.Number, sent.MayText));
        var told = await person.Post($"{person.Link}/2", ("choice", "other"), ("act", "answer"));
        Assert.Contains("was not added to them", told, StringComparison.Ordinal);
        Assert.Contains("tel:+12125550100", told, StringComparison.Ordinal);
        Assert.Matches("value=\"other\" checked", told);
        Assert.DoesNotContain("other", await person.InClinic(db => db.IntakeAnswers.Where(a => a.LinkId == "sex").Select(a => a.Typed).SingleAsync()), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("And I want to die", 1)]
    [InlineData("A softer chin as well, please", 0)]
    public async Task Words_typed_into_a_page_that_stayed_open_after_sending_stay_on_it_and_a_sign_in_them_pages_once(string words, int reports)
    {
        await person.Result("A firmer jaw line.");
        var last = await QuestionWithWords();
        await person.Send();
        for (var i = 0; i < 2; i++)
        {
            var told = await person.Post(last, ("text", words), ("act", "answer"));
            Assert.Contains("was not added to them", told, StringComparison.Ordinal);
            Assert.Contains(words, told, StringComparison.Ordinal);
            Assert.Equal(reports > 0, told.Contains("may need help sooner", StringComparison.Ordinal));
        }

        // Kept whole, and to be read by what pages whoever is on call.
        Assert.Equal(reports, await person.InClinic(db => db.Messages.CountAsync(m => m.Text == words && m.RawForm == MessageRow.FromIntake)));
        Assert.Equal(reports, await person.InClinic(db => db.Jobs.CountAsync(j => j.Kind == MessageJobs.ReadIntake)));
        // The page sent once more with what was sent is nothing late.
        await person.Post(last, ("text", "A firmer jaw line."), ("act", "answer"));
        Assert.EndsWith("/result", person.At, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Words_to_a_question_that_another_answer_took_away_stay_on_the_page_and_with_the_answers()
    {
        await person.Start();
        await person.Born(1988);
        await person.Rest();
        var (number, question) = await AskedNoMore();
        var told = await person.Post($"{person.Link}/{number}", ("choice", "not-sure"), ("text", "Three weeks ago"), ("act", "answer"));
        Assert.Contains("no longer asked", told, StringComparison.Ordinal);
        Assert.Contains("tel:+12125550100", told, StringComparison.Ordinal);
        Assert.True(await person.InClinic(db => db.IntakeAnswers.AnyAsync(a => a.LinkId == question)));
        Assert.EndsWith("/check", await GoesOn(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Words_too_long_with_a_sign_in_them_stay_and_say_whom_to_ring()
    {
        await person.Start();
        await person.Born(1988);
        await person.Rest();
        var words = $"{new string('x', 9000)} I want to die. {new string('y', 9000)}";
        var told = await person.Post(await QuestionWithWords(), ("text", words), ("act", "answer"));
        Assert.Contains("Please shorten this", told, StringComparison.Ordinal);
        Assert.Contains(words, told, StringComparison.Ordinal);
        Assert.Contains("may need help sooner", told, StringComparison.Ordinal);
        Assert.Contains("tel:911", told, StringComparison.Ordinal);
        Assert.Contains("may need help sooner", await person.Show(await QuestionWithWords()), StringComparison.Ordinal);
    }

    // The first question that is not among those this person is asked.
    private async Task<(int Number, string LinkId)> AskedNoMore()
    {
        await using var scope = portal.Parts.CreateAsyncScope();
        var opened = (await scope.ServiceProvider.GetRequiredService<OpenIntake>().Run(person.Link["/Intake/".Length..], default))!;
        var question = opened.Questionnaire.Questions.First(q => !opened.Asked.Contains(q));
        return (opened.NumberOf(question), question.LinkId);
    }

    private async Task<string> GoesOn()
    {
        await person.Show(person.Link);
        return person.At;
    }

    [Fact]
    public async Task An_answer_given_in_the_very_moment_a_result_is_worked_out_is_in_what_is_sent()
    {
        await person.Result();
        await person.Post($"{person.Link}/2", ("choice", "female"), ("act", "answer"));
        // The clock stands still: only the order tells the answer from the result. Opened before it, worked out and sent after it.
        await using var scope = portal.Parts.CreateAsyncScope();
        var opened = (await scope.ServiceProvider.GetRequiredService<OpenIntake>().Run(person.Link["/Intake/".Length..], default))!;
        await person.Post($"{person.Link}/2", ("choice", "other"), ("act", "answer"));
        Assert.IsType<WorkOutResult.Outcome.Meanwhile>(await scope.ServiceProvider.GetRequiredService<WorkOutResult>().Run(opened, default));
        Assert.IsType<SendIntake.Outcome.NoResult>(await scope.ServiceProvider.GetRequiredService<SendIntake>().Run(opened, "Jonas Lind", "(212) 555-0177", true, default));
        await person.Send();
        Assert.EndsWith("/check", person.At, StringComparison.Ordinal);
        await person.Post(person.At);
        await person.Send();
        Assert.Equal("other", (await SentAnswer("sex")).Given);
    }

    [Fact]
    public async Task Answers_results_and_sendings_all_at_once_end_in_what_was_answered_last()
    {
        await person.Result();
        var turns = Enumerable.Range(0, 24).Select(i => (i % 4) switch
        {
            0 or 1 => person.Post($"{person.Link}/2", ("choice", i % 8 < 4 ? "other" : "male"), ("act", "answer")),
            2 => person.Post($"{person.Link}/check"),
            _ => person.Send(),
        });
        await Task.WhenAll(turns);
        if (await person.InClinic(db => db.Intakes.AnyAsync(i => i.SubmittedAt == null)))
        {
            await person.Post($"{person.Link}/check");
            await person.Send();
        }

        var (given, kept) = await SentAnswer("sex");
        Assert.Contains($"\"{given}\"", kept, StringComparison.Ordinal);
    }

    // One answer as the sent result has it (its code), and as it was kept.
    private async Task<(string Given, string Kept)> SentAnswer(string linkId)
    {
        Assert.NotNull((await person.InClinic(db => db.Intakes.SingleAsync())).SubmittedAt);
        var result = IntakeResult.FromJson(await person.InClinic(db => db.IntakeResults.Select(r => r.Json).SingleAsync()));
        var words = result.Answers.Single(a => a.LinkId == linkId).Words;
        var options = portal.Parts.GetRequiredService<ContentLibrary>().Candidacy.Questionnaire.Find(linkId)!.Options;
        return (options.Single(o => o.Text == words).Code, await person.InClinic(db => db.IntakeAnswers.Where(a => a.LinkId == linkId).Select(a => a.Typed).SingleAsync()));
    }

    [Theory]
    [InlineData("", "2125550177", "write your name")]
    [InlineData("Jonas", "12", "phone number")]
    [InlineData("Jonas", "call me", "phone number")]
    public async Task Sending_without_a_name_or_a_number_is_refused_and_keeps_what_was_typed(string name, string number, string problem)
    {
        await person.Result();
        var page = await person.Send(name, number);
        Assert.Contains(problem, page, StringComparison.Ordinal);
        Assert.Contains($"name=\"Number\" value=\"{number}\"", page, StringComparison.Ordinal);
        Assert.Null((await person.InClinic(db => db.Intakes.SingleAsync())).SubmittedAt);
    }

    [Fact]
    public async Task An_everyday_wish_pages_nobody()
    {
        Assert.DoesNotContain("may need help sooner", await person.Result("A firmer jaw line. I would be unhappy if it looked done."), StringComparison.Ordinal);
        await person.Send();
        await person.RunDueJobs();
        Assert.Equal(0, await person.InClinic(db => db.Escalations.CountAsync()));
    }

    [Fact]
    public async Task An_intake_never_sent_is_deleted_when_its_link_ends_and_one_that_was_sent_stays()
    {
        await person.Result();
        await person.Send();
        var other = new Intake_of(portal, clinic);
        await other.Result();
        portal.Clock.Advance(TimeSpan.FromDays(30));
        await person.RunDueJobs();
        Assert.Equal("Jonas Lind", (await person.InClinic(db => db.Intakes.SingleAsync())).Name);
        Assert.Equal(1, await person.InClinic(db => db.IntakeResults.CountAsync()));
        Assert.Contains("This link has ended", await other.Show(other.Link), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.NotFound, other.Status);
        var ended = await person.Show(person.Link);
        Assert.Contains("This link has ended", ended, StringComparison.Ordinal);
        Assert.Contains("tel:+12125550100", ended, StringComparison.Ordinal);
        Assert.Contains("tel:911", ended, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("/Intake/at/nowhere")]
    [InlineData("/Intake/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA")]
    [InlineData("/Intake/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA/3")]
    [InlineData("/Intake/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA/result")]
    public async Task A_link_that_opens_nothing_is_not_found(string at)
    {
        await person.Show(at);
        Assert.Equal(HttpStatusCode.NotFound, person.Status);
    }

    [Fact]
    [Source("Big List of Naughty Strings (shared data naughty-strings)", at: "every string, as free text and as a name")]
    public async Task Hostile_strings_are_kept_as_typed_and_harm_no_page()
    {
        var file = Path.Combine(OpenData.Folder, "naughty-strings", "blns.json");
        string[] strings = File.Exists(file)
            ? [.. System.Text.Json.Nodes.JsonNode.Parse(await File.ReadAllTextAsync(file))!.AsArray().Select(row => (string)row!["text"]!).Where(s => s.Trim().Length is > 0 and < 4000)]
            : ["<script>alert(1)</script>", "'; DROP TABLE Intakes;--", "\u202Etest", "👩‍👩‍👧‍👦", "ÅÍÎÏ˝ÓÔ\u0007"];
        await person.Start();
        await person.Born(1988);
        await person.Rest();
        var last = await QuestionWithWords();
        foreach (var hostile in strings)
        {
            await person.Post(last, ("text", hostile), ("act", "answer"));
            Assert.Equal(HttpStatusCode.Redirect, person.Status);
            var kept = Typed.FromJson(await person.InClinic(db => db.IntakeAnswers.Where(a => a.LinkId == "wish-words").Select(a => a.Typed).SingleAsync()));
            Assert.Equal(hostile, kept.Text);
        }

        await person.Post(last, ("text", string.Join('\n', strings)[..4000]), ("act", "answer"));
        await person.Post($"{person.Link}/check");
        Assert.Equal(HttpStatusCode.Redirect, person.Status);
        await person.Show();
        Assert.Equal(HttpStatusCode.OK, person.Status);
    }

    private async Task<string> QuestionWithWords()
    {
        for (var number = 1; ; number++)
            if ((await person.Show($"{person.Link}/{number}")).Contains("<textarea", StringComparison.Ordinal)) return $"{person.Link}/{number}";
    }
}
