using System.Net;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Tests.ContentFiles;
using AftercarePortal.Web.Tests.Intake;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Settings;

public sealed class Choosing_where_practice_differs : IAsyncLifetime
{
    private const string Page = "/Settings/Rules";
    private Portal_with_staff portal = null!;
    private ContentLibrary content = null!;
    private HttpClient lead = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        content = ContentLibrary.Load(ContentLibrary.Folder);
        portal = await Portal_with_staff.OpenWith(() => content);
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        lead = await portal.SignedIn(clinic, "reed", StaffRole.PracticeLead);
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    private Task<HttpResponseMessage> Choose(string rule, string choice, int seen = 0, string reason = "Our protocol <2026>") => Choose(lead, rule, choice, seen, reason);

    private static async Task<HttpResponseMessage> Choose(HttpClient who, string rule, string choice, int seen, string reason)
    {
        var token = System.Text.RegularExpressions.Regex.Match(await who.GetStringAsync(Page), "<input name=\"__RequestVerificationToken\" type=\"hidden\" value=\"[^\"]*\"[^>]*>").Value;
        return await Portal_with_staff.Post(who, Page, token, ("Rule", rule), ("Choice", choice), ("Seen", $"{seen}"), ("Reason", reason));
    }

    [Fact]
    public async Task A_choice_sent_twice_is_kept_once_and_nobody_is_blamed()
    {
        var form = await lead.GetStringAsync(Page);
        var rule = content.Candidacy.Rules.First(r => r.Choices.Count > 0);
        var token = System.Text.RegularExpressions.Regex.Match(form, "<input name=\"__RequestVerificationToken\" type=\"hidden\" value=\"[^\"]*\"[^>]*>").Value;
        (string, string)[] chosen = [("Rule", rule.Id), ("Choice", rule.Choices[0].Id), ("Seen", "0"), ("Reason", "Our protocol")];
        var taps = await Task.WhenAll(Enumerable.Range(0, 3).Select(_ => Portal_with_staff.Post(lead, Page, token, chosen)));
        Assert.All(taps, tap => Assert.Equal(HttpStatusCode.Redirect, tap.StatusCode));
        var late = await (await Choose(rule.Id, rule.Choices[0].Id, seen: 0, reason: "Another reason")).Content.ReadAsStringAsync();
        Assert.Contains("chose meanwhile", late);
        Assert.Contains("Chosen so far: 1", late);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(-1)]
    public async Task A_form_that_says_it_was_opened_at_a_choice_there_never_was_is_not_kept(int seen)
    {
        var rule = content.Candidacy.Rules.First(r => r.Choices.Count > 0);
        var answer = await (await Choose(rule.Id, rule.Choices[0].Id, seen)).Content.ReadAsStringAsync();
        Assert.Contains("Open the page anew", answer);
        Assert.DoesNotContain("Chosen so far", answer);
    }

    // A vaccine ten days ago, HA filler wished for.
    private async Task<(Intake_of Person, string Page)> Vaccinated(Guid at)
    {
        var person = new Intake_of(portal, at);
        await person.Start();
        await person.Born(1988);
        for (var i = 0; i < 70 && !person.At.EndsWith("/check", StringComparison.Ordinal); i++)
        {
            var page = await person.Show();
            if (page.Contains("value=\"vaccine\"", StringComparison.Ordinal) && page.Contains("value=\"illness\"", StringComparison.Ordinal)) await person.Answer(("choice", "vaccine"));
            else if (page.Contains("What day was the vaccine", StringComparison.Ordinal)) await person.Answer(("day", "4"), ("month", "5"), ("year", "2031"));
            else if (page.Contains("value=\"ha-filler\"", StringComparison.Ordinal)) await person.Answer(("choice", "ha-filler"));
            else if (new[] { "none", "no", "female" }.FirstOrDefault(c => page.Contains($"name=\"choice\" value=\"{c}\"", StringComparison.Ordinal)) is { } calm) await person.Answer(("choice", calm));
            else await person.Skip();
        }

        await person.Post(person.At);
        return (person, await person.Show());
    }

    [Fact]
    public async Task A_choice_counts_from_now_on_and_findings_made_before_stay()
    {
        var (before, said) = await Vaccinated(clinic);
        Assert.Contains("filler waits 3 weeks", said);
        Assert.Contains("25 May 2031", said);
        Assert.Equal(HttpStatusCode.Redirect, (await Choose("vaccine-recent", "two-weeks")).StatusCode);
        Assert.Contains("filler waits 3 weeks", await before.Show(before.Link + "/result"));
        var (after, now) = await Vaccinated(clinic);
        Assert.Contains("filler waits 2 weeks", now);
        Assert.Contains("18 May 2031", now);
        await after.Send();
        var id = await after.InClinic(db => db.Intakes.Where(i => i.SubmittedAt != null).Select(i => i.Id).SingleAsync());
        Assert.Contains("Your clinic had chosen: 2 weeks after a vaccine.", await lead.GetStringAsync($"/Review/{id}"));
    }

    [Fact]
    public async Task Who_when_and_why_are_kept_for_every_choice_and_the_latest_counts()
    {
        await Choose("vaccine-recent", "two-weeks");
        portal.Clock.Advance(TimeSpan.FromMinutes(1));
        await Choose("vaccine-recent", "", 1, "Back to the statement");
        var shown = WebUtility.HtmlDecode(await lead.GetStringAsync(Page));
        Assert.Contains("Chosen so far: 2", shown);
        Assert.Contains("reed, 14 May 2031, 05:00, under lower-face.v1", shown);
        Assert.Contains("Our protocol <2026>", shown);
        Assert.Contains("Back to the statement", shown);
        var rows = await new Intake_of(portal, clinic).InClinic(db => db.RuleChoices.OrderBy(c => c.Number).ToListAsync());
        Assert.Equal(["two-weeks", null], rows.Select(r => r.Choice));
        Assert.Empty(await new Intake_of(portal, clinic).InClinic(db => db.RuleChoicesNow(default)));
    }

    [Theory]
    [InlineData("vaccine-recent", "next-year", "why", "one of the ways that are offered")]
    [InlineData("vaccine-recent", "two-weeks", " ", "Write your reason")]
    [InlineData("age-under-18", "", "why", "a rule that offers a choice")]
    [InlineData("pregnant", "talk-it-over", "why", "a rule that offers a choice")]
    [InlineData("vaccine-recent", "", "why", "practises already")]
    public async Task What_content_does_not_offer_or_nobody_explains_is_refused(string rule, string choice, string reason, string said)
    {
        Assert.Contains(said, await (await Choose(rule, choice, 0, reason)).Content.ReadAsStringAsync());
        Assert.Equal(0, await new Intake_of(portal, clinic).InClinic(db => db.RuleChoices.CountAsync()));
    }

    [Fact]
    public async Task Of_two_who_choose_one_is_told_and_another_clinic_practises_on_as_before()
    {
        await Choose("vaccine-recent", "two-weeks");
        Assert.Contains("reed chose meanwhile", await (await Choose("vaccine-recent", "", 0)).Content.ReadAsStringAsync());
        var (other, _) = await portal.Clinic("Another invented clinic", 1);
        Assert.Contains("filler waits 3 weeks", (await Vaccinated(other)).Page);
    }

    [Fact]
    public async Task A_choice_the_rules_no_longer_offer_is_said_and_the_rule_counts_as_it_stands()
    {
        await Choose("vaccine-recent", "two-weeks");
        using var copy = new Content_copy();
        copy.Change("candidacy/lower-face.v1.yaml", "id: two-weeks", "id: fifteen-days");
        content = ContentLibrary.Load(copy.Folder);
        Assert.Contains("choice is no longer offered", await lead.GetStringAsync(Page));
        Assert.Contains("filler waits", (await Vaccinated(clinic)).Page);
        Assert.Contains("25 May 2031", (await Vaccinated(clinic)).Page);
    }
}
