using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Testing;
using AftercarePortal.Web.ContentFiles;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Candidacy;

public sealed class Body_image_screen
{
    private static readonly string Text = File.ReadAllText(Path.Combine(CandidacyContent.Folder, "screening", "body-image.v1.yaml"));

    private static readonly string Filled = Regex.Replace(Text, "null(?=[,\\]}\\s])", "words").Replace("in_use: false", "in_use: true", StringComparison.Ordinal);

    [Fact]
    public void As_it_comes_it_is_off_and_asks_nothing()
    {
        var errors = new List<ContentError>();
        Assert.Same(CandidacyContent.Rules, Add(Text, errors));
        Assert.Empty(errors);
    }

    [Fact]
    public void It_cannot_be_switched_on_without_its_wording_and_a_signature()
    {
        var errors = new List<ContentError>();
        Add(Text.Replace("in_use: false", "in_use: true", StringComparison.Ordinal), errors);
        Assert.Contains(errors, e => e.Path == "/items/0/en");
        Assert.Contains(errors, e => e.Path == "/scale/en");
        Assert.Contains(errors, e => e.Path == "/signed_by");
    }

    [Theory]
    [Source("BDDQ-AS scoring rule as read in source S51b", at: "positive if Q1 yes and Q2 yes and (any of Q3-Q6 is 3 or more or Q7 yes)")]
    [InlineData("yes yes 1 1 1 1 no", false)]
    [InlineData("yes yes 3 1 1 1 no", true)]
    [InlineData("yes yes 1 1 1 5 no", true)]
    [InlineData("yes yes 2 2 2 2 no", false)]
    [InlineData("yes yes 1 1 1 1 yes", true)]
    [InlineData("no yes 5 5 5 5 yes", false)]
    [InlineData("yes no 5 5 5 5 yes", false)]
    public void The_published_rule_decides_and_the_result_is_for_the_clinician_alone(string answers, bool positive)
    {
        var errors = new List<ContentError>();
        var rules = Add(Filled, errors);
        Assert.Empty(errors);
        var given = new Dictionary<string, Answer>(CandidacyContent.Base.ByLinkId);
        foreach (var (answer, i) in answers.Split(' ').Select((a, i) => (a, i))) given[$"body-image-{i + 1}"] = new Answer.Given(answer);
        var findings = rules.FindingsFor(new(given), new LocalDate(2026, 3, 10)).All;
        Assert.Equal(positive ? ["body-image-screen"] : [], findings.Select(f => f.RuleId));
        Assert.All(findings, f => Assert.True(f is { ForClinician: true, FromDoubt: false, Kind: FindingKind.ClearFirst }));
    }

    [Fact]
    public void An_answer_left_out_is_told_to_the_clinician_as_not_known()
    {
        var finding = Add(Filled, []).FindingsFor(CandidacyContent.Base, new LocalDate(2026, 3, 10)).All.Single();
        Assert.True(finding is { RuleId: "body-image-screen", FromDoubt: true, ForClinician: true });
    }

    private static CandidacyRules Add(string text, List<ContentError> errors) =>
        ScreeningReader.Add(CandidacyContent.FromText("body-image.v1.yaml", text), CandidacyContent.Rules, "en", errors);
}
