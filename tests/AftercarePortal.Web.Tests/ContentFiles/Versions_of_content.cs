using System.Text;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Web.Tests.ContentFiles;

public sealed class Versions_of_content : IDisposable
{
    private readonly Content_copy copy = new();

    public void Dispose() => copy.Dispose();

    private void Second(params (string, string)[] changes) => copy.Next("candidacy/lower-face.v1.yaml", "candidacy/lower-face.v2.yaml", [("version: 1", "version: 2"), .. changes]);

    [Fact]
    public void Of_two_versions_the_newer_is_in_force_and_the_older_stays()
    {
        Second(("within_days: 21 }", "within_days: 14 }"));
        var content = ContentLibrary.Load(copy.Folder);
        Assert.Equal("lower-face.v2", content.Candidacy.Version.ToString());
        Assert.Equal([1, 2], content.Shelf.Editions.Select(e => e.Rules.Version.Number));
        Assert.NotEqual(content.Shelf.Editions[0].Rules.Rules.Single(r => r.Id == "vaccine-recent").When, content.Candidacy.Rules.Single(r => r.Id == "vaccine-recent").When);
        Assert.Equal(content.Candidacy.Version, content.Shelf.InForce.ByLanguage["es"].Version);
    }

    [Fact]
    public void A_draft_beside_a_published_version_decides_nothing_until_it_is_signed()
    {
        copy.Change("candidacy/lower-face.v1.yaml", "status: draft", "status: published");
        copy.Change("candidacy/lower-face.v1.yaml", "signed_by: { name: null, role: null, date: null }", "signed_by: { name: Iris Hale, role: responsible clinician, date: 2026-12-01 }");
        Second(("status: published", "status: draft"));
        Assert.Equal("lower-face.v1", ContentLibrary.Load(copy.Folder).Candidacy.Version.ToString());
        copy.Change("candidacy/lower-face.v2.yaml", "status: draft", "status: published");
        Assert.Equal("lower-face.v2", ContentLibrary.Load(copy.Folder).Candidacy.Version.ToString());
        copy.Change("candidacy/lower-face.v2.yaml", "status: published", "status: withdrawn");
        Assert.Equal("lower-face.v1", ContentLibrary.Load(copy.Folder).Candidacy.Version.ToString());
    }

    [Fact]
    public void A_draft_of_a_consent_is_handed_to_nobody_while_a_published_one_stands()
    {
        copy.Change("consent/lower-face.v1.md", "status: draft", "status: published");
        copy.Next("consent/lower-face.v1.md", "consent/lower-face.v2.md", ("version: 1", "version: 2"), ("status: published", "status: draft"));
        Assert.Equal(1, InForce());
        copy.Change("consent/lower-face.v2.md", "status: draft", "status: published");
        Assert.Equal(2, InForce());
        copy.Change("consent/lower-face.v2.md", "status: published", "status: withdrawn");
        Assert.Equal(1, InForce());
        copy.Change("consent/lower-face.v1.md", "status: published", "status: withdrawn");
        Assert.Contains("Every version is withdrawn", copy.Check().Faults);

        int InForce() => ContentLibrary.Load(copy.Folder).Consents.Single(d => d.Language == Texts.DefaultLanguage).Version;
    }

    [Fact]
    public void Questions_may_have_a_next_version_too_and_an_intake_keeps_its_own()
    {
        copy.Next("questionnaires/lower-face.v1.json", "questionnaires/lower-face.v2.json", ("\"version\": \"1\"", "\"version\": \"2\""), ("\"text\": \"Do you smoke", "\"text\": \"Do you smoke or vape now, or"));
        Assert.Contains("No version of the candidacy rules is about lower-face.v2", copy.Check().Faults);
        Second(("questionnaire: lower-face.v1", "questionnaire: lower-face.v2"));
        Assert.Contains("pricing/lower-face-model.v1.yaml", copy.Check().Faults.Replace('\\', '/'));
        copy.Next("pricing/lower-face-model.v1.yaml", "pricing/lower-face-model.v2.yaml", ("version: 1", "version: 2"), ("questionnaire: lower-face.v1", "questionnaire: lower-face.v2"));
        Assert.Equal("", copy.Check().Faults);
        var shelf = ContentLibrary.Load(copy.Folder).Shelf;
        Assert.Equal("lower-face.v2", shelf.InForce.Rules.Questionnaire.Version.ToString());
        Assert.Equal(("lower-face.v1", "lower-face.v1"), (shelf.For("lower-face.v1", Day).Rules.Questionnaire.Version.ToString(), shelf.For("lower-face.v1", Day).Rules.Version.ToString()));
    }

    [Fact]
    public void A_signed_version_counts_from_its_day_and_before_it_the_one_before()
    {
        copy.Change("candidacy/lower-face.v1.yaml", "status: draft", "status: published");
        copy.Change("candidacy/lower-face.v1.yaml", "signed_by: { name: null, role: null, date: null }", "signed_by: { name: Iris Hale, role: responsible clinician, date: 2026-12-01 }");
        Second(("effective: 2026-12-01", "effective: 2027-02-01"), ("within_days: 21 }", "within_days: 28 }"));
        var shelf = ContentLibrary.Load(copy.Folder).Shelf;
        int On(int year, int month, int day) => shelf.On(new(year, month, day)).Rules.Version.Number;
        Assert.Equal((1, 1, 2, 2), (On(2026, 12, 1), On(2027, 1, 31), On(2027, 2, 1), On(2030, 1, 1)));
        // Before the first signed version began it is asked all the same: nothing else was signed.
        Assert.Equal(1, On(2026, 11, 30));
        // The same questions are read under the rules of the day.
        Assert.Equal((1, 2), (shelf.For("lower-face.v1", new(2027, 1, 31)).Rules.Version.Number, shelf.For("lower-face.v1", new(2027, 2, 1)).Rules.Version.Number));
        // The command counts from its day too.
        Assert.Contains("\"version\": \"lower-face.v1\"", Findings("2027-01-31"));
        Assert.Contains("\"version\": \"lower-face.v2\"", Findings("2027-02-01"));
    }

    private static readonly NodaTime.LocalDate Day = new(2027, 2, 1);

    private string Findings(string today)
    {
        using var output = new MemoryStream();
        using var error = new StringWriter();
        using var response = new StringReader("""{"resourceType":"QuestionnaireResponse","status":"in-progress","questionnaire":"https://aftercareportal.example/fhir/Questionnaire/lower-face|1","item":[]}""");
        Assert.Equal((0, ""), (FindingsCommand.Run(["--today", today], response, output, error, copy.Folder, Day), error.ToString()));
        return Encoding.UTF8.GetString(output.ToArray());
    }

    [Theory]
    [InlineData("triage/lower-face.v1.yaml", "triage/lower-face.v2.yaml")]
    [InlineData("aftercare/plla.v1.yaml", "aftercare/plla.v2.yaml")]
    [InlineData("pricing/lower-face-model.v1.yaml", "pricing/lower-face-model.v2.yaml")]
    [InlineData("pages/intake.v1.yaml", "pages/intake.v2.yaml")]
    [InlineData("escalation/policy.v1.yaml", "escalation/policy.v2.yaml")]
    [InlineData("merging/merging.v1.yaml", "merging/merging.v2.yaml")]
    [InlineData("texts/en/taken.v1.md", "texts/en/taken.v2.md")]
    [InlineData("screening/body-image.v1.yaml", "screening/body-image.v2.yaml")]
    [InlineData("consent/lower-face.v1.md", "consent/lower-face.v2.md")]
    public void Every_kind_of_file_takes_a_next_version_and_says_when_its_number_was_not_raised(string first, string second)
    {
        copy.Next(first, second);
        Assert.Contains("version", copy.Check().Faults);
        copy.Change(second, "version: 1", "version: 2");
        Assert.Equal("", copy.Check().Faults);
    }

    [Fact]
    public void The_newest_text_is_sent_and_every_price_list_can_be_adopted()
    {
        copy.Next("texts/en/taken.v1.md", "texts/en/taken.v2.md", ("version: 1", "version: 2"), ("A clinician has taken", "Hello: a clinician has taken"));
        copy.Next("pricing/wrenfold-prices.v2.yaml", "pricing/wrenfold-prices.v3.yaml", ("version: 2", "version: 3"), ("first: 60000", "first: 61000"));
        var content = ContentLibrary.Load(copy.Folder);
        Assert.Contains("Hello:", content.Texts.Template("taken"));
        Assert.Equal(["wrenfold-prices.v1", "wrenfold-prices.v2", "wrenfold-prices.v3"], content.PriceLists.Keys.Order());
    }

    [Theory]
    [InlineData("candidacy/lower-face.v3.yaml", "lower-face.v2.yaml:1:1: /: This version is missing although a later one is there")]
    [InlineData("candidacy/lower-face.v02.yaml", "lower-face.v02.yaml:1:1: /: A version is named lower-face.v1.yaml")]
    [InlineData("candidacy/lower-face.v2 copy.yaml", "this file is none of them")]
    [InlineData("candidacy/lower-face.v2.yaml", "The file's name says version 2, its header says 1. A version stands once")]
    public void A_version_that_is_missing_twice_there_or_wrongly_named_is_explained(string file, string reason)
    {
        copy.Next("candidacy/lower-face.v1.yaml", file);
        Assert.Contains(reason, copy.Check().Faults);
    }

    [Fact]
    public void A_response_to_older_questions_is_read_under_its_own_rules_and_one_that_names_no_version_under_those_in_force()
    {
        copy.Next("questionnaires/lower-face.v1.json", "questionnaires/lower-face.v2.json", ("\"version\": \"1\"", "\"version\": \"2\""), ("\"linkId\": \"smoking\"", "\"linkId\": \"smoking-now\""));
        Second(("questionnaire: lower-face.v1", "questionnaire: lower-face.v2"), ("answer: smoking,", "answer: smoking-now,"));
        copy.Next("pricing/lower-face-model.v1.yaml", "pricing/lower-face-model.v2.yaml", ("version: 1", "version: 2"), ("questionnaire: lower-face.v1", "questionnaire: lower-face.v2"));
        Assert.Equal("", copy.Check().Faults);
        (int, string) Findings(string version, string linkId)
        {
            using var output = new MemoryStream();
            using var error = new StringWriter();
            var response = $$"""{"resourceType":"QuestionnaireResponse","status":"in-progress","questionnaire":"https://aftercareportal.example/fhir/Questionnaire/lower-face{{version}}","item":[{"linkId":"{{linkId}}","answer":[{"valueBoolean":true}]}]}""";
            return (FindingsCommand.Run([], new StringReader(response), output, error, copy.Folder, new(2026, 3, 10)), Encoding.UTF8.GetString(output.ToArray()) + error);
        }

        Assert.Contains("\"version\": \"lower-face.v1\"", Findings("|1", "smoking").Item2);
        Assert.Contains("\"version\": \"lower-face.v2\"", Findings("|2", "smoking-now").Item2);
        Assert.Contains("\"version\": \"lower-face.v2\"", Findings("", "smoking-now").Item2);
        Assert.Equal(1, Findings("|1", "smoking-now").Item1);
        Assert.Contains("item[0]: the questionnaire has no question with the linkId smoking", Findings("", "smoking").Item2);
        Assert.Contains("the answers must be to", Findings("|3", "smoking").Item2);
    }

    [Fact]
    public void When_all_are_withdrawn_the_check_says_so()
    {
        copy.Change("candidacy/lower-face.v1.yaml", "status: draft", "status: withdrawn");
        Assert.Contains("Every version is withdrawn", copy.Check().Faults);
    }

    [Theory]
    [InlineData("candidacy/lower-face.v1.yaml", "{ id: S54, grade: R, seen: true }", "{ id: S96, grade: R, seen: true }", "S96 is cited here")]
    [InlineData("candidacy/lower-face.v1.yaml", "{ id: M29, grade: C, seen: false }", "{ id: M29, grade: C, seen: true }", "M29 is marked as seen here; the bibliography has it from memory")]
    [InlineData("aftercare/plla.v1.yaml", "id: S49b", "id: somebody", "somebody is cited here")]
    [InlineData("sources.yaml", "{ id: S82,", "{ id: S81,", "S81 stands twice")]
    [InlineData("sources.yaml", "{ id: S47,", "{ id: S47x,", "S47 is cited here")]
    public void A_source_nobody_listed_or_a_mark_raised_is_a_fault(string file, string right, string wrong, string reason)
    {
        copy.Change(file, right, wrong);
        var (code, _, faults) = copy.Check();
        Assert.Equal(1, code);
        Assert.Contains(reason, faults);
    }
}
