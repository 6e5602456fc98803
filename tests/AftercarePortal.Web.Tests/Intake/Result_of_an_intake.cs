using System.Net;
using System.Text;
using System.Text.RegularExpressions;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Intake;

/// <summary>The page an anxious person reads first: short at the top, the way on in reach, in one language, to be kept.</summary>
public sealed class Result_of_an_intake : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private Intake_of person = null!;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        var (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        person = new(portal, clinic);
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    [Fact]
    public async Task Says_in_short_how_much_there_is_when_it_may_be_and_leads_to_the_sending_before_anything_else()
    {
        var page = await Told("en");
        var top = page[..page.IndexOf("<article", StringComparison.Ordinal)];
        Assert.Contains("In short", top, StringComparison.Ordinal);
        Assert.Contains("<a href=\"#ClearFirst\">To settle first</a>", top, StringComparison.Ordinal);
        Assert.Contains("Earliest date:", top, StringComparison.Ordinal);
        Assert.Contains("href=\"#send\"", top, StringComparison.Ordinal);
        Assert.Contains("id=\"send\"", page, StringComparison.Ordinal);
        Assert.True(page.IndexOf("id=\"ClearFirst\"", StringComparison.Ordinal) < page.IndexOf("id=\"Discuss\"", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Never_says_that_nothing_has_to_be_sorted_out_beside_words_that_should_not_wait(bool urgent)
    {
        await Told("en");
        await person.InClinic(async db =>
        {
            var row = await db.IntakeResults.OrderByDescending(r => r.AnswersVersion).FirstAsync();
            var calm = IntakeResult.FromJson(row.Json) with { Findings = [], Earliest = null, WordsSoundUrgent = urgent };
            db.Add(new IntakeResultRow { ClinicId = row.ClinicId, IntakeId = row.IntakeId, AnswersVersion = row.AnswersVersion, MadeAt = row.MadeAt + NodaTime.Duration.FromSeconds(1), Json = calm.ToJson() });
            return await db.SaveChangesAsync();
        });
        var page = WebUtility.HtmlDecode(await person.Show());
        Assert.Equal(!urgent, page.Contains("Nothing you told us needs to be sorted out", StringComparison.Ordinal));
        Assert.Equal(!urgent, page.Contains("nothing you told us asks for waiting", StringComparison.Ordinal));
        Assert.Equal(urgent, page.Contains("first ring, because of what you wrote", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Of_what_the_clinician_alone_reads_it_tells_nothing_nor_that_there_is_nothing()
    {
        await Told("en");
        await person.InClinic(async db =>
        {
            var row = await db.IntakeResults.OrderByDescending(r => r.AnswersVersion).FirstAsync();
            var told = IntakeResult.FromJson(row.Json);
            var alone = told with { Findings = [told.Findings[0] with { ForClinician = true, Kind = AftercarePortal.Clinical.Candidacy.FindingKind.Discuss }], Earliest = null, WordsSoundUrgent = false };
            db.Add(new IntakeResultRow { ClinicId = row.ClinicId, IntakeId = row.IntakeId, AnswersVersion = row.AnswersVersion, MadeAt = row.MadeAt + NodaTime.Duration.FromSeconds(1), Json = alone.ToJson() });
            return await db.SaveChangesAsync();
        });
        var page = WebUtility.HtmlDecode(await person.Show());
        Assert.DoesNotContain("Nothing you told us needs to be sorted out", page, StringComparison.Ordinal);
        Assert.DoesNotContain("nothing you told us asks for waiting", page, StringComparison.Ordinal);
        Assert.Contains("<strong>the clinic sets it with you.</strong>", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Names_what_a_finding_is_about()
    {
        var page = await Told("en");
        var at = page.IndexOf("A flare must settle first", StringComparison.Ordinal);
        Assert.True(at > 0, "The finding is not there.");
        var head = page[page.LastIndexOf("<h3>", at, StringComparison.Ordinal)..at];
        Assert.Contains("autoimmune", head, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task Folds_nothing_away_that_was_told_and_must_be_settled_first()
    {
        await person.Start();
        await person.Born(1988);
        for (var i = 0; i < 70 && !person.At.EndsWith("/check", StringComparison.Ordinal); i++)
        {
            // Everything of what may be ticked; all other questions are left out.
            var offered = Regex.Matches(await person.Show(), "type=\"checkbox\"[^>]*name=\"choice\" value=\"([^\"]+)\"").Select(m => m.Groups[1].Value).Where(v => v is not ("none" or "not-sure")).ToList();
            if (offered.Count == 0) await person.Skip();
            else await person.Answer([.. offered.Select(code => ("choice", code))]);
        }

        await person.Post(person.At);
        var page = await person.Show();
        var section = page[page.IndexOf("<section aria-labelledby=\"ClearFirst\"", StringComparison.Ordinal)..];
        section = section[..section.IndexOf("</section>", StringComparison.Ordinal)];
        var (shown, folded) = section.IndexOf("<summary>Show", StringComparison.Ordinal) is >= 0 and var at ? (section[..at], section[at..]) : (section, "");
        Assert.True(Regex.Count(shown, "<article") > ResultModel.AtOnce, "So few that nothing would be folded.");
        Assert.All(Regex.Matches(folded, "<h3>([^<]*)</h3>").Select(m => m.Groups[1].Value), head => Assert.EndsWith(": Left out", head));
    }

    [Fact]
    public async Task Says_what_would_change_a_finding_as_long_as_it_can_be_changed()
    {
        Assert.Contains("What would change it: another answer to Defences of the body", await Told("en"), StringComparison.Ordinal);
        await person.Send();
        var sent = await person.Show();
        Assert.Contains("A flare must settle first", sent, StringComparison.Ordinal);
        Assert.DoesNotContain("What would change it", sent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task In_Spanish_holds_no_sentence_of_the_price_in_English()
    {
        var page = await Told("es");
        Assert.Contains("Por qué nadie puede decir una sola cifra", page, StringComparison.Ordinal);
        var model = ContentLibrary.Load(ContentLibrary.Folder).Pricing;
        foreach (var english in model.Words.Reasons.Values.Concat(model.Words.Questions.Values.Where(q => q.Length > 12)).Append("totals like this").Append("cost more than").Append("likelier").Append("if it is chosen"))
            Assert.DoesNotContain(english, page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("en", "Earliest date")]
    [InlineData("es", "Primera fecha posible")]
    public async Task Can_be_kept_as_a_tagged_PDF_in_its_language(string language, string words)
    {
        await Told(language);
        using var browser = portal.Browser();
        var answer = await browser.GetAsync($"{person.Link}/pdf");
        Assert.Equal("application/pdf", answer.Content.Headers.ContentType!.MediaType);
        using var file = PdfSharp.Pdf.IO.PdfReader.Open(new MemoryStream(await answer.Content.ReadAsByteArrayAsync()), PdfSharp.Pdf.IO.PdfDocumentOpenMode.Import);
        var catalog = file.Internals.Catalog.Elements;
        Assert.NotNull(catalog.GetDictionary("/StructTreeRoot"));
        Assert.True(catalog.GetDictionary("/MarkInfo")!.Elements.GetBoolean("/Marked"));
        Assert.Equal(language, catalog.GetString("/Lang"));
        var drawn = string.Concat(file.Pages.Cast<PdfSharp.Pdf.PdfPage>().Select(p => Encoding.Latin1.GetString(p.Contents.CreateSingleContent().Stream.UnfilteredValue)));
        Assert.Contains("+12125550100", drawn);
        Assert.Contains(words, drawn);
    }

    [Fact]
    public async Task As_a_PDF_is_nobodys_without_the_link_and_not_there_before_the_questions_are_answered()
    {
        await person.Start();
        using var browser = portal.Browser();
        Assert.Equal(HttpStatusCode.Redirect, (await browser.GetAsync($"{person.Link}/pdf")).StatusCode);
        // It leads to the page that says the link has ended, and to nothing else.
        var nobodys = await browser.GetAsync("/Intake/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA/pdf");
        Assert.Equal((HttpStatusCode.Redirect, "/Intake/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"), (nobodys.StatusCode, nobodys.Headers.Location!.OriginalString));
        Assert.Equal(HttpStatusCode.NotFound, (await browser.GetAsync(nobodys.Headers.Location)).StatusCode);
    }

    // Somebody with a flare who left the rest out and wishes for the jaw.
    private async Task<string> Told(string language)
    {
        await person.Start(language);
        await person.Born(1988);
        for (var i = 0; i < 80 && !person.At.EndsWith("/check", StringComparison.Ordinal); i++)
        {
            var page = await person.Show();
            var answer = new[] { "autoimmune-active", "jaw-body" }.FirstOrDefault(code => page.Contains($"value=\"{code}\"", StringComparison.Ordinal));
            if (answer is not null) await person.Answer(("choice", answer));
            else await person.Skip();
        }

        await person.Post(person.At);
        return await person.Show();
    }
}
