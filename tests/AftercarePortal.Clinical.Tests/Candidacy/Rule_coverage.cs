using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Products;
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
    public void Windows_ages_and_options_that_exclude_each_other_make_a_rule_dead_and_one_day_less_makes_it_alive()
    {
        Condition Vaccine(int days) => new Condition.WithinDays("vaccine-on", days);
        Condition Age(int years) => new Condition.AgeBelow("birth-date", years);
        static Condition Not(Condition part) => new Condition.Not(part);
        static Condition Ticked(string code) => new Condition.AnswerIs("recent", [code]);
        string[] recent = [.. Rules.Questionnaire.Find("recent")!.Options.Where(o => !o.StandsAlone).Select(o => o.Code)];
        var alone = Rules.Questionnaire.Find("recent")!.Options.Single(o => o.StandsAlone).Code;
        (string Id, Condition When, bool Dead)[] planted =
        [
            ("shorter-without-longer", new Condition.All([Vaccine(10), Not(Vaccine(20))]), true),
            ("longer-without-shorter", new Condition.All([Vaccine(20), Not(Vaccine(19))]), false),
            ("child-without-youth", new Condition.All([Age(18), Not(Age(21))]), true),
            ("youth-without-child", new Condition.All([Age(21), Not(Age(18))]), false),
            ("none-and-something", new Condition.All([Ticked(alone), Ticked(recent[0])]), true),
            // Three of four, and the fourth not: found only among all sets.
            ("three-of-four", new Condition.All([Ticked(recent[0]), Ticked(recent[1]), Ticked(recent[2]), Not(Ticked(recent[3]))]), false),
            ("itself-and-not", new Condition.All([Ticked(recent[0]), Not(new Condition.Any([Ticked(recent[1]), Ticked(recent[0])]))]), true),
        ];
        var smoker = Rules.Rules.Single(r => r.Id == "smoker");
        var coverage = RuleCoverage.Of(Rules with { Rules = [.. planted.Select(p => smoker with { Id = p.Id, When = p.When })] });
        Assert.Equal(planted.Where(p => p.Dead).Select(p => p.Id), coverage.NeverFires);
        Assert.Empty(coverage.NotDecided);
    }

    [Fact]
    public void A_rule_whose_only_products_are_never_used_after_its_answers_is_dead()
    {
        var smoker = Rules.Rules.Single(r => r.Id == "smoker") with { Id = "never-of-that", Applies = [ProductClass.CaHAFiller] };
        var classes = new Dictionary<ProductClass, Condition>(Rules.Classes) { [ProductClass.CaHAFiller] = new Condition.Not(smoker.When) };
        Assert.Equal(["never-of-that"], RuleCoverage.Of(Rules with { Classes = classes, Rules = [smoker] }).NeverFires);
    }

    [Fact]
    public void The_same_answers_said_in_other_words_still_contradict_and_too_many_intakes_are_not_decided()
    {
        var smoker = Rules.Rules.Single(r => r.Id == "smoker");
        var other = smoker with { Id = "a-other-words", Kind = FindingKind.ClearFirst, KindIfUnknown = FindingKind.ClearFirst, When = new Condition.Not(new Condition.Not(new Condition.Any([smoker.When, smoker.When]))) };
        Assert.Equal([("a-other-words", "smoker")], RuleCoverage.Of(Rules with { Rules = [smoker, other] }).Contradictions);
        Condition[] many = [.. Rules.Rules.Select(r => r.When)];
        var huge = smoker with { Id = "everything", When = new Condition.All(many) };
        Assert.Equal(["everything"], RuleCoverage.Of(Rules with { Rules = [huge] }).NotDecided);
    }

    [Fact]
    public void An_option_added_without_a_rule_is_named()
    {
        var questions = Rules.Questionnaire with { Questions = [.. Rules.Questionnaire.Questions.Select(q => q.LinkId == "recent" ? q with { Options = [.. q.Options, new("moonbath", "A moonbath")] } : q)] };
        Assert.Contains("recent = moonbath", RuleCoverage.Of(Rules with { Questionnaire = questions }).UnreadAnswers);
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
