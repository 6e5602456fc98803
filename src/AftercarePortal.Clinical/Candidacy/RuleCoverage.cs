using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>What a set of rules reads, what can never happen, and where two rules get in each other's way.</summary>
/// <param name="NeverFires">Rules, and choices of a clinic, that no intake can make speak for certain: decided.</param>
/// <param name="NotDecided">Rules with too many intakes to look through.</param>
/// <param name="UnreadAnswers">Options no rule, product class or further question reads, as <c>question = option</c>; they may serve the price or the clinician.</param>
/// <param name="UnreadQuestions">Questions no rule and no product class reads.</param>
/// <param name="SaidTwice">Pairs where, whenever the first speaks, the second does too about the same questions, and the first does not cover it.</param>
/// <param name="Contradictions">Pairs that speak on exactly the same answers for a shared product class, but ask for different things.</param>
public sealed record RuleCoverage(
    IReadOnlyList<string> NeverFires, IReadOnlyList<string> NotDecided, IReadOnlyList<string> UnreadAnswers, IReadOnlyList<string> UnreadQuestions,
    IReadOnlyList<(string First, string Second)> SaidTwice, IReadOnlyList<(string First, string Second)> Contradictions)
{
    /// <summary>Looks through one set of rules.</summary>
    public static RuleCoverage Of(CandidacyRules rules)
    {
        var (never, open) = (new List<string>(), new List<string>());
        var ways = rules.Rules.SelectMany(r => r.Choices.Select(c => c.Rule with { Id = $"{r.Id} as {c.Id}" }).Prepend(r));
        foreach (var rule in ways)
        {
            var uses = rule.Applies.Where(rules.Classes.ContainsKey).Select(c => rules.Classes[c]).ToList();
            var whole = uses.Count == 0 || uses.Count < rule.Applies.Count ? rule.When : new Condition.All([rule.When, new Condition.Any(uses)]);
            switch (new RuleSpace(rules.Questionnaire, [whole]).Any(facts => whole.Holds(facts) == Truth.Yes))
            {
                case false: never.Add(rule.Id); break;
                case null: open.Add(rule.Id); break;
                default: break;
            }
        }

        var conditions = rules.Rules.Select(r => r.When).Concat(rules.Classes.Values).ToList();
        var read = conditions.SelectMany(Condition.LinkIdsOf).Concat(rules.Visit is null ? [] : [rules.Visit]).ToHashSet(StringComparer.Ordinal);
        var codes = conditions.SelectMany(CodesOf).Concat(rules.Questionnaire.Questions.SelectMany(q => q.AskedWhen).Select(w => (w.LinkId, w.Code))).ToHashSet();
        var (twice, against) = Pairs(rules);
        return new(
            never, open,
            [
                .. from question in rules.Questionnaire.Questions
                   where read.Contains(question.LinkId)
                   from option in question.Options
                   where !option.StandsAlone && !codes.Contains((question.LinkId, option.Code)) && option.Code is not ("no" or "none")
                   select $"{question.LinkId} = {option.Code}",
            ],
            [.. rules.Questionnaire.Questions.Select(q => q.LinkId).Where(l => !read.Contains(l))],
            twice, against);
    }

    private static (List<(string, string)> Twice, List<(string, string)> Against) Pairs(CandidacyRules rules)
    {
        var (twice, against) = (new List<(string, string)>(), new List<(string, string)>());
        // A sign is read from words, not given as an answer: no pair is judged by it.
        var judged = rules.Rules.Where(r => !RuleSpace.PartsOf(r.When).OfType<Condition.Sign>().Any()).ToList();
        foreach (var one in judged)
        {
            var questions = Condition.LinkIdsOf(one.When).ToHashSet(StringComparer.Ordinal);
            foreach (var other in judged.Where(r => r != one && Condition.LinkIdsOf(r.When).All(questions.Contains) && Overlap(one.Applies, r.Applies)))
            {
                if (one.Covers.Contains(other.Id) || other.Covers.Contains(one.Id)) continue;
                var space = new RuleSpace(rules.Questionnaire, [one.When, other.When]);
                if (space.Any(f => one.When.Holds(f) == Truth.Yes && other.When.Holds(f) != Truth.Yes) != false) continue;
                var both = space.Any(f => other.When.Holds(f) == Truth.Yes && one.When.Holds(f) != Truth.Yes) == false;
                if (both && (one.Kind != other.Kind || one.Earliest != other.Earliest) && string.CompareOrdinal(one.Id, other.Id) < 0) against.Add((one.Id, other.Id));
                else if (!both) twice.Add((one.Id, other.Id));
            }
        }

        return (twice, against);
    }

    private static bool Overlap(IReadOnlyList<ProductClass> one, IReadOnlyList<ProductClass> other) => one.Count == 0 || other.Count == 0 || one.Intersect(other).Any();

    private static IEnumerable<(string, string)> CodesOf(Condition condition) => 
        RuleSpace.PartsOf(condition).OfType<Condition.AnswerIs>().SelectMany(answer => answer.Codes.Select(code => (answer.LinkId, code)));
}
