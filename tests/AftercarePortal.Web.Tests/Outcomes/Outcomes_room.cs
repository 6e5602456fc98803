using System.Globalization;
using System.Net;
using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Outcomes;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Tests.Staff;
using CsvHelper;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Outcomes;

public sealed partial class Outcomes_room(Clinic_with_cases clinic) : IClassFixture<Clinic_with_cases>
{
    private async Task<string> Page(string address = "/Outcomes") => WebUtility.HtmlDecode(await clinic.Lead.GetStringAsync(address));

    [Fact]
    public async Task Coverage_is_said_with_what_chance_allows_and_the_one_treated_elsewhere_is_counted_apart()
    {
        var page = await Page();
        // Clopper and Pearson for 9 of 11: 0.482 to 0.977 (from memory; the interval itself is checked against vectors in the core).
        Assert.Contains("9 of 11 held, 82 %; by chance it could be 48 to 98 %", page, StringComparison.Ordinal);
        Assert.Contains("These are few cases", page, StringComparison.Ordinal);
        Assert.Contains("Not switched on: 0 of 30 completed quotes", page, StringComparison.Ordinal);
        Assert.Contains("12 people were sent a range, 12 of them were invited, 12 treated; 1 of those were treated in other places", page, StringComparison.Ordinal);
        Assert.Contains("no amount used is a target", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Each_chart_says_the_same_as_a_table_and_in_words()
    {
        var page = await Page();
        Assert.Equal(4, Regex.Count(page, "<svg "));
        Assert.Equal(4, Regex.Count(page, "The same as a table"));
        Assert.Equal(4, Regex.Count(page, "<desc "));
        Assert.Equal(["Dr lea", "Dr mara"], Row().Matches(page[page.IndexOf("By injector", StringComparison.Ordinal)..page.IndexOf("Where in its forecast", StringComparison.Ordinal)]).Select(m => m.Groups[1].Value));
        // Lea signed five, of them one of 4 mL a side; Mara six, one of them.
        Assert.Contains("<th scope=\"row\">Dr lea</th><td>4</td><td>5</td>", page, StringComparison.Ordinal);
        Assert.Contains("<th scope=\"row\">Dr mara</th><td>5</td><td>6</td>", page, StringComparison.Ordinal);
    }

    // Clopper and Pearson for 16 of 20, 0.563 to 0.943, and for 4 of 5, 0.284 to 0.995 (from memory; the interval itself is checked against vectors in the core).
    [Fact]
    public async Task A_share_that_is_said_twice_is_the_same_share()
    {
        var coverage = new RangeCoverage(16, 20, 0.8);
        Assert.Contains("by chance it could be 56 to 95 %", OutcomeCharts.Said(coverage), StringComparison.Ordinal);
        Assert.Contains("between 56 and 95 in 100", coverage.Says(), StringComparison.Ordinal);
        Assert.Contains("<td>28 and 100 %</td>", await Page(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_course_that_is_over_is_compared_with_its_price_and_one_without_a_number_is_refused()
    {
        var (inside, outside) = (clinic.Courses[0].IntakeId, clinic.Courses[10].IntakeId);
        var refused = await Portal_with_staff.Post(clinic.Lead, "/Outcomes/Cases", TokenOnly(await clinic.Lead.GetStringAsync("/Outcomes/Cases")), ("IntakeId", $"{inside}"), ("Sessions", "some"));
        Assert.Contains("Give the number of sessions, 0 to 50.", await refused.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        foreach (var id in new[] { inside, outside })
            Assert.Equal(HttpStatusCode.Redirect, (await Portal_with_staff.Post(clinic.Lead, "/Outcomes/Cases", TokenOnly(await clinic.Lead.GetStringAsync("/Outcomes/Cases")), ("IntakeId", $"{id}"), ("Sessions", "1"))).StatusCode);
        var page = await Page("/Outcomes/Cases");
        // 1.00 mL is one syringe of 1.5 mL: 600, a session 300, the fee 50. 8.00 mL are six syringes.
        Assert.Contains("Came to 950 USD: inside", page, StringComparison.Ordinal);
        Assert.Contains("Came to 3,950 USD: outside", page, StringComparison.Ordinal);
        var outcomes = await Page();
        Assert.Contains("1 of 2 held, 50 %", outcomes, StringComparison.Ordinal);
        // Clopper and Pearson for 1 of 2 by hand: 1 - sqrt(0.975) and sqrt(0.975).
        Assert.Contains("1 of 2 ranges held what came. The true share lies between 1 and 99 in 100. These are few cases", outcomes, StringComparison.Ordinal);
        Assert.Contains("Not compared: also treated: chin; not treated: jaw body.", page, StringComparison.Ordinal);
        // A slip is put right from the card itself: the latest number counts.
        var card = page[page.IndexOf($"id=\"case-{outside}\"", StringComparison.Ordinal)..];
        card = card[..card.IndexOf("</article>", StringComparison.Ordinal)];
        Assert.Contains("Over, with 1 session of skin treatment", card, StringComparison.Ordinal);
        Assert.Contains("Put it right</button>", card, StringComparison.Ordinal);
        await Portal_with_staff.Post(clinic.Lead, "/Outcomes/Cases", card, ("Sessions", "2"));
        Assert.Contains("Came to 4,250 USD: outside", await Page("/Outcomes/Cases"), StringComparison.Ordinal);
    }

    // The page holds a form a course; only its token is wanted.
    private static string TokenOnly(string page) => Token().Match(page).Value;

    [Fact]
    public async Task The_file_holds_a_line_for_each_region_and_no_name_of_a_patient()
    {
        var text = await clinic.Lead.GetStringAsync("/Outcomes/cases.csv");
        Assert.DoesNotContain("Person", text, StringComparison.Ordinal);
        using var csv = new CsvReader(new StringReader(text), CultureInfo.InvariantCulture);
        var lines = csv.GetRecords<dynamic>().Cast<IDictionary<string, object>>().Where(l => (string)l["unit"] == "mL").ToList();
        Assert.Equal(22, lines.Count);
        Assert.Equal(2 * Clinic_with_cases.Inside, lines.Count(l => (string)l["held"] == "yes"));
        Assert.All(lines, l => Assert.Contains((string)l["what"], new[] { "jaw-body", "all" }));
        Assert.Equal(["0"], lines.Select(l => (string)l["figures"]).Distinct());
    }

    [Fact]
    public async Task Only_who_leads_the_practice_may_look_and_only_at_her_own_clinic()
    {
        foreach (var address in new[] { "/Outcomes", "/Outcomes/Cases", "/Outcomes/cases.csv" })
        {
            Assert.Equal(HttpStatusCode.NotFound, (await clinic.Clinician.GetAsync(address)).StatusCode);
            Assert.Equal(HttpStatusCode.Redirect, (await clinic.Portal.Browser().GetAsync(address)).StatusCode);
        }
    }

    [Fact]
    public async Task A_quote_is_shown_again_as_it_was()
    {
        var quote = await clinic.Courses[0].Person.InClinic(db => db.FirstRangeOf(clinic.Courses[0].IntakeId, default));
        var page = await Page($"/Review/Quote/{quote!.Id}");
        Assert.Contains(quote.ShownRange().Central.ToString(), page, StringComparison.Ordinal);
        Assert.Contains("Model lower-face-model.v1, prices wrenfold-prices.v1, the clinic's figures at the model's start", page, StringComparison.Ordinal);
        Assert.Contains("<dt>wish-regions</dt><dd>jaw-body</dd>", page, StringComparison.Ordinal);
    }

    [GeneratedRegex("<th scope=\"row\">([^<]+)</th>")]
    private static partial Regex Row();

    [GeneratedRegex("<input [^>]*__RequestVerificationToken[^>]*>")]
    private static partial Regex Token();
}
