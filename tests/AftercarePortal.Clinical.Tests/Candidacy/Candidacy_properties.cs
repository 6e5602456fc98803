using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Candidacy;

/// <summary>What holds for every intake, tried on many made by a seeded generator.</summary>
public sealed class Candidacy_properties
{
    private const int Seed = 20261125;

    private static readonly LocalDate Today = new(2026, 3, 10);

    private static readonly CandidacyRules Rules = CandidacyContent.Rules;

    [Fact]
    public void One_more_flagging_answer_never_takes_a_finding_away_but_by_declared_subsumption()
    {
        var random = new Random(Seed);
        var tried = 0;
        for (var i = 0; i < 400; i++)
        {
            var before = Made(random);
            foreach (var question in Rules.Questionnaire.Questions.Where(q => q.Kind == QuestionKind.Several))
            {
                if (before[question.LinkId] is not Answer.Given given) continue;
                var more = question.Options.Where(o => !o.StandsAlone && !given.Values.Contains(o.Code)).Select(o => o.Code).ToList();
                if (more.Count == 0) continue;
                string[] kept = [.. given.Values.Where(v => !question.Options.Any(o => o.Code == v && o.StandsAlone))];
                var after = With(before, question.LinkId, new Answer.Given([.. kept, more[random.Next(more.Count)]]));
                NothingLost(Rules.FindingsFor(before, Today), Rules.FindingsFor(after, Today), question.LinkId);
                tried++;
            }
        }

        Assert.True(tried > 1000, $"{tried} tried");
    }

    [Fact]
    public void Not_knowing_never_says_less_than_no()
    {
        var random = new Random(Seed);
        for (var i = 0; i < 300; i++)
        {
            var intake = Made(random);
            foreach (var question in Rules.Questionnaire.Questions.Where(q => q.Kind is QuestionKind.YesNo || q.Options.Any(o => o.Code is "none" or "no")))
            {
                if (!question.IsAskedGiven(intake) || question.LinkId == "reachable") continue;
                var no = With(intake, question.LinkId, new Answer.Given(question.Kind == QuestionKind.YesNo || question.Options.Any(o => o.Code == "no") ? "no" : "none"));
                foreach (var unknown in (Answer[])[new Answer.NotSure(), new Answer.Skipped()])
                    NothingLost(Rules.FindingsFor(no, Today), Rules.FindingsFor(With(intake, question.LinkId, unknown), Today), question.LinkId);
            }
        }
    }

    [Fact]
    public void The_order_of_answers_does_not_matter_and_the_strongest_comes_first()
    {
        var random = new Random(Seed);
        for (var i = 0; i < 200; i++)
        {
            var intake = Made(random);
            var turned = new Answers(intake.ByLinkId.Reverse().ToDictionary(p => p.Key, p => p.Value is Answer.Given { Values.Count: > 1 } g ? new Answer.Given([.. g.Values.Reverse()]) : p.Value));
            var (one, other) = (Rules.FindingsFor(intake, Today), Rules.FindingsFor(turned, Today));
            Assert.Equal(one.All.Select(f => f.RuleId), other.All.Select(f => f.RuleId));
            Assert.Equal(one.All.OrderByDescending(f => f.Stops).ThenBy(f => f.Kind).ThenBy(f => f.RuleId, StringComparer.Ordinal).Select(f => f.RuleId), one.All.Select(f => f.RuleId));
        }
    }

    [Fact]
    public void What_is_said_to_change_a_finding_changes_it()
    {
        var random = new Random(Seed);
        var named = 0;
        for (var i = 0; i < 30; i++)
        {
            var intake = Made(random);
            foreach (var finding in Rules.FindingsFor(intake, Today).All)
            {
                var changes = Rules.WouldChange(finding, intake, Today);
                named += changes.Count;
                // Tried one by one on the whole of the findings: what is named takes it away, and nothing else does.
                foreach (var cause in finding.Causes.Select(c => c.LinkId))
                    Assert.True(changes.Contains(cause) == OthersThan(cause).Any(other => !Says(With(intake, cause, other), finding.RuleId)), $"{finding.RuleId} by {cause}");
                Assert.All(changes, change => Assert.Contains(finding.Causes, c => c.LinkId == change));
            }
        }

        Assert.True(named > 200, $"{named} named");
        var diabetic = With(CandidacyContent.Base, "immune", new Answer.Given("diabetes"));
        Assert.Equal(["immune"], Rules.WouldChange(Rules.FindingsFor(diabetic, Today).All.Single(), diabetic, Today));
    }

    [Fact]
    public void About_so_long_ago_is_never_after_today_and_holds_the_day_in_the_middle()
    {
        for (var day = new LocalDate(2027, 12, 20); day < new LocalDate(2028, 4, 1); day = day.PlusDays(1))
        {
            foreach (var unit in Enum.GetValues<DayRange.Unit>())
            {
                for (var count = 0; count <= DayRange.MostUnits; count += 7)
                {
                    var range = DayRange.About(count, unit, day);
                    Assert.True(range.From <= range.To && range.To <= day);
                    Assert.Equal(range, DayRange.Parse(range.ToString()));
                }
            }
        }

        Assert.Equal("2026-02-20/2026-02-28", DayRange.About(2, DayRange.Unit.Weeks, Today).ToString());
        Assert.Null(DayRange.Parse("2026-03-02/2026-03-01"));
        Assert.Null(DayRange.Parse("soon"));
    }

    private static void NothingLost(Findings before, Findings after, string question)
    {
        // That two answers do not fit each other ends when one of them changes: no other rule may end so.
        static bool Stays(Finding f) => !Condition.LeavesDoubtOut(Rules.Rules.Single(r => r.Id == f.RuleId).When);
        var now = after.All.Concat(after.Covered).ToDictionary(f => f.RuleId);
        Assert.All(before.All.Concat(before.Covered).Where(Stays), f => Assert.True(now.TryGetValue(f.RuleId, out var still) && still.Kind <= f.Kind, $"{f.RuleId} after {question}"));
        var shown = after.All.Select(f => f.RuleId).ToHashSet();
        Assert.All(
            before.All.Where(f => Stays(f) && !shown.Contains(f.RuleId)),
            f => Assert.Contains(Rules.Rules, r => r.Covers.Contains(f.RuleId) && (shown.Contains(r.Id) || after.Covered.Any(c => c.RuleId == r.Id))));
    }

    private static bool Says(Answers answers, string rule)
    {
        var findings = Rules.FindingsFor(answers, Today);
        return findings.All.Concat(findings.Covered).Any(f => f.RuleId == rule);
    }

    private static IEnumerable<Answer> OthersThan(string linkId) => Rules.Questionnaire.Find(linkId) switch
    {
        { Kind: QuestionKind.YesNo } => [new Answer.Given("yes"), new Answer.Given("no")],
        { Kind: QuestionKind.Date } => [new Answer.Given("2016-03-12"), new Answer.Given("1996-03-17"), new Answer.Given("2036-03-07")],
        { Options: var options } => options.Select(o => new Answer.Given(o.Code)),
        _ => [],
    };

    private static Answers With(Answers answers, string linkId, Answer answer) => new(new Dictionary<string, Answer>(answers.ByLinkId) { [linkId] = answer });

    // Of age, so that no stop hides the rest; every question asked gets an answer, some of them none.
    private static Answers Made(Random random)
    {
        var answers = new Dictionary<string, Answer>();
        foreach (var question in Rules.Questionnaire.Questions)
        {
            if (!question.IsAskedGiven(new(answers))) continue;
            answers[question.LinkId] = random.Next(10) switch
            {
                0 when question.LinkId != "birth-date" => new Answer.Skipped(),
                1 when question.LinkId != "birth-date" => new Answer.NotSure(),
                _ => Given(question, random),
            };
        }

        return new(answers);
    }

    private static Answer.Given Given(Question question, Random random) => question.Kind switch
    {
        QuestionKind.YesNo => new(random.Next(3) == 0 ? "yes" : "no"),
        QuestionKind.Choice => new(question.Options[random.Next(question.Options.Count)].Code),
        QuestionKind.Several when random.Next(2) == 0 && question.Options.Any(o => o.StandsAlone) => new(question.Options.Single(o => o.StandsAlone).Code),
        QuestionKind.Several => new([.. question.Options.Where(o => !o.StandsAlone).OrderBy(_ => random.Next()).Take(1 + random.Next(2)).Select(o => o.Code)]),
        QuestionKind.Date when question.LinkId == "birth-date" => new("1990-06-0" + (1 + random.Next(9))),
        QuestionKind.Date => new(new DayRange(Today.PlusDays(-random.Next(60)), Today).ToString()),
        _ => new("something"),
    };
}
