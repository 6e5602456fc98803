using AftercarePortal.Clinical.Intake;
using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>All intakes that a few conditions can tell apart: what is true of these is decided, not sampled.</summary>
/// <remarks>
/// Per question: every option a condition names, an option none names, all named ones together and in pairs; per date the days on both sides
/// of every window; words with and without what is named. Questions that decide whether one is asked are in it too.
/// </remarks>
public sealed class RuleSpace
{
    /// <summary>Above so many intakes nothing is decided.</summary>
    public const int Most = 300_000;

    private static readonly LocalDate Today = new(2026, 3, 10);

    private readonly Questionnaire _questionnaire;
    private readonly IReadOnlyList<(Question Question, IReadOnlyList<Answer> Answers)> _axes;
    private readonly IReadOnlySet<string> _signs;

    /// <summary>The space of these conditions over one questionnaire.</summary>
    public RuleSpace(Questionnaire questionnaire, IReadOnlyList<Condition> conditions)
    {
        _questionnaire = questionnaire;
        var parts = conditions.SelectMany(PartsOf).ToList();
        _signs = parts.OfType<Condition.Sign>().Select(s => s.Concept).ToHashSet(StringComparer.Ordinal);
        var linkIds = conditions.SelectMany(Condition.LinkIdsOf).ToHashSet(StringComparer.Ordinal);
        foreach (var question in questionnaire.Questions.Reverse().Where(q => linkIds.Contains(q.LinkId)).ToList()) Needed(question, linkIds);
        _axes = [.. questionnaire.Questions.Where(q => linkIds.Contains(q.LinkId)).Select(q => (q, AnswersFor(q, parts)))];
    }

    /// <summary>Whether it is small enough to be looked through.</summary>
    public bool CanBeDecided => _axes.Aggregate(1L, (product, axis) => Math.Min(product * axis.Answers.Count, Most + 1L)) <= Most;

    /// <summary>True when some intake satisfies the test; null when the space is too large.</summary>
    public bool? Any(Func<IntakeFacts, bool> test) => CanBeDecided ? Walk(0, [], test) : null;

    private bool Walk(int depth, Dictionary<string, Answer> answers, Func<IntakeFacts, bool> test)
    {
        if (depth == _axes.Count) return test(new(_questionnaire, new(answers), Today, _signs));
        var (question, values) = _axes[depth];
        if (!question.IsAskedGiven(new(answers))) return Walk(depth + 1, answers, test);
        foreach (var value in values)
        {
            answers[question.LinkId] = value;
            if (Walk(depth + 1, answers, test)) return true;
            answers.Remove(question.LinkId);
        }

        return false;
    }

    private void Needed(Question question, HashSet<string> linkIds)
    {
        foreach (var earlier in question.AskedWhen.Select(w => _questionnaire.Find(w.LinkId)).OfType<Question>())
            if (linkIds.Add(earlier.LinkId)) Needed(earlier, linkIds);
    }

    private List<Answer> AnswersFor(Question question, List<Condition> parts)
    {
        var days = parts.SelectMany(p => p switch
        {
            Condition.WithinDays w when w.LinkId == question.LinkId => new[] { 0, -w.Days + 1, -w.Days },
            Condition.AgeBelow a when a.LinkId == question.LinkId => [-366 * a.Years, (-366 * a.Years) + 400],
            Condition.NearDay n when n.LinkId == question.LinkId || n.Of == question.LinkId => [0, n.Days - 1, n.Days],
            _ => [],
        }).Append(-20_000).Distinct();
        var asked = _questionnaire.Questions.SelectMany(q => q.AskedWhen).Where(w => w.LinkId == question.LinkId).Select(w => w.Code);
        var codes = parts.OfType<Condition.AnswerIs>().Where(a => a.LinkId == question.LinkId).SelectMany(a => a.Codes).Concat(asked)
            .Where(c => question.Options.Any(o => o.Code == c)).Distinct().ToList();
        var other = question.Options.Select(o => o.Code).Except(codes).Take(1);
        return question.Kind switch
        {
            QuestionKind.YesNo => [new Answer.Given("yes"), new Answer.Given("no")],
            QuestionKind.Choice => [.. codes.Concat(other).Select(c => new Answer.Given(c))],
            QuestionKind.Several =>
            [
                .. codes.Concat(other).Select(c => new Answer.Given(c)),
                .. from one in codes from two in codes where string.CompareOrdinal(one, two) < 0 select new Answer.Given([one, two]),
                .. codes.Count > 2 ? [new Answer.Given([.. codes])] : Array.Empty<Answer>(),
            ],
            QuestionKind.Date => [.. days.Select(d => new Answer.Given(new DayRange(Today.PlusDays(d), Today.PlusDays(d)).ToString()))],
            _ => [new Answer.Skipped(), .. parts.OfType<Condition.Names>().Where(n => n.LinkId == question.LinkId).Select(n => new Answer.Given(n.Words[0])), new Answer.Given("something")],
        };
    }

    /// <summary>The conditions about questions that a condition is made of.</summary>
    internal static IEnumerable<Condition> PartsOf(Condition condition) => condition switch
    {
        Condition.All all => all.Parts.SelectMany(PartsOf),
        Condition.Any any => any.Parts.SelectMany(PartsOf),
        Condition.Not not => PartsOf(not.Part),
        _ => [condition],
    };
}
