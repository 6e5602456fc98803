using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.ContentFiles;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Candidacy;

public sealed class Candidacy_rules
{
    private static readonly LocalDate Today = new(2026, 3, 10);

    private static readonly CandidacyRules Rules = CandidacyContent.Rules;

    [Fact]
    public void An_intake_without_answers_raises_every_rule_but_those_about_words_and_about_two_answers_that_do_not_fit()
    {
        var findings = Rules.FindingsFor(Answers.None, Today);
        Assert.Equal(
            Rules.Rules.Where(r => !Condition.LeavesDoubtOut(r.When)).Select(r => r.Id).Except(["self-harm-now", "expectation"]).Order(StringComparer.Ordinal),
            findings.All.Concat(findings.Covered).Select(f => f.RuleId).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Doubt_never_takes_a_finding_away_or_makes_it_weaker()
    {
        foreach (var changes in CandidacyContent.CasesFile.Root["cases"]!.AsArray().Select(c => c!["answers"]!.AsObject()))
        {
            var answers = CandidacyContent.AnswersOf(changes);
            var sure = Rules.FindingsFor(answers, Today).All;
            // Words never written say nothing, so they are no doubt.
            foreach (var question in CandidacyContent.Questionnaire.Questions)
            {
                foreach (var doubt in (Answer?[])[new Answer.NotSure(), new Answer.Skipped(), null])
                {
                    // A question that did not apply stays without an answer.
                    if (!question.IsAskedGiven(answers) || question.Kind == QuestionKind.LongText) continue;
                    var changed = new Dictionary<string, Answer>(answers.ByLinkId);
                    if (doubt is null) changed.Remove(question.LinkId);
                    else changed[question.LinkId] = doubt;
                    var findings = Rules.FindingsFor(new(changed), Today);
                    var unsure = findings.All.Concat(findings.Covered).ToDictionary(f => f.RuleId);
                    // Two answers that do not fit each other do so no longer when one of them is open.
                    Assert.All(sure.Where(f => !Condition.LeavesDoubtOut(Rules.Rules.Single(r => r.Id == f.RuleId).When)), f => Assert.True(unsure.TryGetValue(f.RuleId, out var still) && still.Kind <= f.Kind, $"{f.RuleId} after {question.LinkId} became {doubt}"));
                }
            }
        }
    }

    [Fact]
    public void Only_what_is_to_be_discussed_may_leave_doubt_out()
    {
        var text = File.ReadAllText(Path.Combine(CandidacyContent.Folder, "candidacy", "lower-face.v1.yaml"));
        var asked = Rules.Rules.Where(r => Condition.LeavesDoubtOut(r.When)).ToList();
        Assert.All(asked, r => Assert.Equal((FindingKind.Discuss, 0), (r.Kind, r.Covers.Count)));
        Assert.NotEmpty(asked);
        var stronger = text.Replace("{ certain: { all: [{ answer: recent, is: filler }, { answer: earlier-filler, is: \"no\" }] } }\n    finding: discuss", "{ certain: { answer: smoking, is: \"yes\" } }\n    finding: wait", StringComparison.Ordinal);
        Assert.NotEqual(text, stronger);
        var errors = new List<ContentError>();
        CandidacyReader.Read(CandidacyContent.FromText("lower-face.v1.yaml", stronger), CandidacyContent.Questionnaire, errors);
        Assert.Contains(errors, e => e.Path.EndsWith("/when", StringComparison.Ordinal) && e.Line > 1 && e.Reason.Contains("missing", StringComparison.Ordinal));
    }

    [Fact]
    public void A_value_that_is_no_option_is_not_read_as_a_no()
    {
        var changed = new Dictionary<string, Answer>(CandidacyContent.Base.ByLinkId) { ["smoking"] = new Answer.Given("perhaps"), ["immune"] = new Answer.Given("else") };
        Assert.Superset(
            new HashSet<string> { "smoker", "immunosuppressed", "autoimmune-active" },
            Rules.FindingsFor(new(changed), Today).All.Where(f => f.FromDoubt).Select(f => f.RuleId).ToHashSet());
    }

    [Fact]
    public void A_finding_names_the_answers_behind_it()
    {
        var changed = new Dictionary<string, Answer>(CandidacyContent.Base.ByLinkId)
        {
            ["medicines"] = new Answer.Given("beta-blocker"), ["wish-regions"] = new Answer.Skipped(), ["nerve-muscle"] = new Answer.Given("neuromuscular"),
        };
        var all = Rules.FindingsFor(new(changed), Today).All;
        Assert.Equal(["medicines"], all.Single(f => f.RuleId == "heart-rhythm").Causes.Select(c => c.LinkId));
        Assert.Equal(new Answer.Given("beta-blocker"), all.Single(f => f.RuleId == "heart-rhythm").Causes[0].Answer);
        Assert.Contains(new Cause("wish-regions", new Answer.Skipped()), all.Single(f => f.RuleId == "neuromuscular").Causes);
    }

    [Fact]
    public void Every_finding_has_a_cause_and_a_source() =>
        Assert.All(Rules.FindingsFor(Answers.None, Today).All, f => Assert.True(f.Causes.Count > 0 && f.Citations.Count > 0, f.RuleId));

    [Fact]
    public void Not_of_doubt_is_doubt()
    {
        static IntakeFacts Facts(Answers answers) => new(CandidacyContent.Questionnaire, answers, Today, new HashSet<string>());
        var smokes = new Condition.AnswerIs("smoking", ["yes"]);
        Assert.Equal(Truth.Unknown, new Condition.Not(smokes).Holds(Facts(Answers.None)));
        Assert.Equal(Truth.Yes, new Condition.Not(smokes).Holds(Facts(CandidacyContent.Base)));
        Assert.Equal(Truth.No, new Condition.Not(new Condition.Not(smokes)).Holds(Facts(CandidacyContent.Base)));
    }

    [Fact]
    public void At_least_thirty_rules_cite_more_than_memory() =>
        Assert.True(Rules.Rules.Count(r => r.Citations.Any(c => c.SourceId is not ("memory" or "judgement"))) >= 30);

    [Fact]
    public void Every_source_is_in_the_bibliography_and_none_is_marked_seen_that_was_not()
    {
        var listed = CandidacyContent.Load("", "sources.yaml").Root["sources"]!.AsArray().ToDictionary(s => s!["id"]!.GetValue<string>(), s => s!["seen"]!.GetValue<bool>());
        Assert.All(Rules.Rules.SelectMany(r => r.Citations), c => Assert.Equal(listed[c.SourceId], c.Seen));
    }

    [Fact]
    public void No_text_clears_or_refuses_anybody()
    {
        var clears = new Regex(@"\b(un)?suitable|\beligible|\bcandidate|\b(is|are|be) (safe|fine|normal|ok|okay)\b|no risk|don't worry|\bcleared\b", RegexOptions.IgnoreCase);
        Assert.Matches(clears, "You are suitable.");
        Assert.All(Rules.Rules, r => Assert.DoesNotMatch(clears, $"{r.Says} {r.SaysIfUnknown}"));
    }

    [Fact]
    public void No_text_tells_anybody_to_stop_a_medicine()
    {
        var stop = new Regex(@"(?<!do not |never |don't )\b(stop|pause|skip|come off|leave out|reduce)\b", RegexOptions.IgnoreCase);
        Assert.Matches(stop, "Please stop aspirin.");
        // "We stop here until you are 18" ends the intake, no medicine.
        Assert.All(Rules.Rules.Where(r => !r.Stops), r => Assert.DoesNotMatch(stop, $"{r.Says} {r.SaysIfUnknown}"));
    }

    [Fact]
    public void Every_text_about_a_prescribed_medicine_says_not_to_stop_it()
    {
        var about = Rules.Rules.Where(r => Condition.LinkIdsOf(r.When).Any(l => l is "medicines" or "medicines-other") && r.Id is not ("supplements-bruise" or "diabetes-infection")).ToArray();
        Assert.True(about.Length >= 8);
        Assert.All(about, r => Assert.Contains("Do not stop", r.Says));
    }

    [Fact]
    public void A_wrong_rule_is_reported_with_its_place()
    {
        var text = File.ReadAllText(Path.Combine(CandidacyContent.Folder, "candidacy", "lower-face.v1.yaml"));
        (string From, string To, string Pointer)[] faults =
        [
            ("when: { answer: smoking, is: \"yes\" }", "when: { answer: smokes, is: \"yes\" }", "/when/answer"),
            ("when: { answer: smoking, is: \"yes\" }", "when: { answer: smoking, is: often }", "/when/is"),
            ("when: { answer: vaccine-on, within_days: 21 }", "when: { answer: recent, within_days: 21 }", "/when/answer"),
            ("when: { answer: vaccine-on, within_days: 21 }", "when: { answer: vaccine-on, in_days: 21 }", "/when"),
            ("if_unknown: clear-first", "if_unknown: discuss", "/if_unknown"),
            ("applies: [ha-filler]", "applies: [ha]", "/applies/0"),
            ("{ id: S53, grade: C, seen: true }", "{ id: S53, grade: E, seen: true }", "/sources/0"),
            ("  - id: smoker", "  - id: keloid", "/id"),
            ("questionnaire: lower-face.v1", "questionnaire: lower-face.v2", "/questionnaire"),
            ("status: draft", "status: published", "/signed_by"),
        ];
        foreach (var (from, to, pointer) in faults)
        {
            Assert.Contains(from, text);
            var errors = new List<ContentError>();
            Assert.Null(CandidacyReader.Read(CandidacyContent.FromText("rules.yaml", new Regex(Regex.Escape(from)).Replace(text, to, 1)), CandidacyContent.Questionnaire, errors));
            Assert.Contains(errors, e => e.Path.EndsWith(pointer, StringComparison.Ordinal) && e.Line > 1);
        }
    }
}
