using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Web.Commands;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Candidacy;

public sealed class Rule_coverage
{
    private static readonly CandidacyRules Rules = CandidacyContent.Rules;

    [Fact]
    public void No_rule_of_ours_is_dead_undecided_contradicted_or_said_twice()
    {
        var coverage = RuleCoverage.Of(Rules);
        Assert.Empty(coverage.NeverFires);
        Assert.Empty(coverage.NotDecided);
        Assert.Empty(coverage.Contradictions);
        Assert.Empty(coverage.SaidTwice);
    }

    [Theory]
    // Two answers to a question that takes one.
    [InlineData("pregnancy", "yes", "pregnancy", "no")]
    // A question that is asked only after another answer.
    [InlineData("earlier-filler", "no", "earlier-filler-kind", "permanent")]
    public void A_rule_that_no_intake_can_fulfil_is_named(string one, string answer, string two, string other)
    {
        var dead = Rules.Rules.Single(r => r.Id == "smoker") with
        {
            Id = "dead", When = new Condition.All([new Condition.AnswerIs(one, [answer]), new Condition.AnswerIs(two, [other])]),
        };
        Assert.Equal(["dead"], RuleCoverage.Of(Rules with { Rules = [.. Rules.Rules, dead] }).NeverFires);
    }

    [Fact]
    public void Two_rules_about_the_same_answers_that_ask_for_different_things_contradict_each_other()
    {
        var smoker = Rules.Rules.Single(r => r.Id == "smoker");
        var strict = smoker with { Id = "a-strict-smoker", Kind = FindingKind.ClearFirst, KindIfUnknown = FindingKind.ClearFirst };
        Assert.Equal([("a-strict-smoker", "smoker")], RuleCoverage.Of(Rules with { Rules = [.. Rules.Rules, strict] }).Contradictions);
    }

    [Fact]
    public void A_narrower_rule_that_does_not_cover_the_wider_one_says_it_twice()
    {
        var smoker = Rules.Rules.Single(r => r.Id == "smoker");
        var narrow = smoker with { Id = "smoker-and-pregnant", When = new Condition.All([smoker.When, new Condition.AnswerIs("pregnancy", ["yes"])]) };
        var twice = RuleCoverage.Of(Rules with { Rules = [smoker, narrow] }).SaidTwice;
        Assert.Equal([("smoker-and-pregnant", "smoker")], twice);
    }

    [Fact]
    public void An_answer_and_a_question_nobody_reads_are_named()
    {
        var coverage = RuleCoverage.Of(Rules with { Rules = [.. Rules.Rules.Where(r => r.Id is not ("smoker" or "keloid"))] });
        Assert.Contains("smoking", coverage.UnreadQuestions);
        Assert.Contains("skin-history = keloid", coverage.UnreadAnswers);
    }

    [Fact]
    public void The_command_tells_all_of_it()
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        Assert.Equal((0, ""), (RulesCommand.Run(["--questions"], output, error, CandidacyContent.Folder), error.ToString()));
        Assert.Contains("0 rules without a case", output.ToString());
        Assert.Contains("0 of them come out otherwise", output.ToString());
        Assert.Contains("vaccine-on (Day of the vaccine): What day was the vaccine?", output.ToString());
        Assert.Equal(2, RulesCommand.Run(["--all"], output, error, CandidacyContent.Folder));
    }
}
