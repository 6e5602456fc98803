using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Web.ContentFiles;
using NodaTime.Text;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Candidacy;

public sealed class Candidacy_cases
{
    private static readonly CandidacyCases Cases = new(CandidacyContent.CasesFile, CandidacyContent.Rules, TriageContent.Lexicon);

    [Fact]
    public void There_are_at_least_a_hundred_and_fifty() => Assert.True(Cases.Names.Distinct().Count() >= 150);

    [Fact]
    public void Each_gives_exactly_its_findings_in_order()
    {
        var errors = new List<ContentError>();
        Cases.Check(errors);
        Assert.Empty(errors);
    }

    [Fact]
    public void One_that_comes_out_otherwise_is_told_with_its_line_and_what_came()
    {
        var text = File.ReadAllText(Path.Combine(CandidacyContent.Folder, "candidacy", "lower-face.v1.cases.yaml"));
        var errors = new List<ContentError>();
        var changed = CandidacyContent.FromText("lower-face.v1.cases.yaml", text.Replace("answers: { pregnancy: \"yes\" }, expect: [{ rule: pregnant, finding: wait }]", "answers: { pregnancy: \"yes\" }, expect: []", StringComparison.Ordinal));
        new CandidacyCases(changed, CandidacyContent.Rules, TriageContent.Lexicon).Check(errors);
        Assert.Contains("came and was not expected [pregnant wait", Assert.Single(errors).Reason);
        Assert.True(errors[0].Line > 10);
    }

    [Fact]
    public void Every_rule_speaks_for_certain_in_some_case()
    {
        var spoke = CandidacyContent.CasesFile.Root["cases"]!.AsArray().SelectMany(row =>
        {
            var findings = CandidacyContent.FindingsFor(CandidacyContent.AnswersOf(row!["answers"]!.AsObject()), LocalDatePattern.Iso.Parse(row["today"]!.GetValue<string>()).Value);
            return findings.All.Concat(findings.Covered).Where(f => !f.FromDoubt).Select(f => f.RuleId);
        });
        Assert.Empty(CandidacyContent.Rules.Rules.Select(r => r.Id).Except(spoke));
    }
}
