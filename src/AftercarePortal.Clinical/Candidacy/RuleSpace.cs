using AftercarePortal.Clinical.Intake;
using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>All intakes that a few conditions can tell apart: what is true of these is decided, not sampled.</summary>
/// <remarks>
/// Per question: every option a condition names and one that none names, or every set of them that can be ticked together; per date the days on
/// both sides of every window; words with and without what is named. Questions that decide whether one is asked are in it too.
/// A few sets are tried first, for one intake that fits is an answer; that none fits is said only after every set.
/// </remarks>
public sealed class RuleSpace
{
    /// <summary>Above so many intakes nothing is decided.</summary>
    public const int Most = 300_000;

    private static readonly LocalDate Today = new(2026, 3, 10);

    private readonly Questionnaire _questionnaire;
    private readonly IReadOnlyList<(Question Question, IReadOnlyList<Answer> Few, Lazy<IReadOnlyList<Answer>>? Every)> _axes;
    private readonly IReadOnlySet<string> _signs;

    /// <summary>The space of these conditions over one questionnaire.</summary>
    public RuleSpace(Questionnaire questionnaire, IReadOnlyList<Condition> conditions)
    {
        _questionnaire = questionnaire;
        var parts = conditions.SelectMany(PartsOf).ToList();
        _signs = parts.OfType<Condition.Sign>().Select(s => s.Concept).ToHashSet(StringComparer.Ordinal);
        var linkIds = conditions.SelectMany(Condition.LinkIdsOf).ToHashSet(StringComparer.Ordinal);
        foreach (var question in questionnaire.Questions.Reverse().Where(q => linkIds.Contains(q.LinkId)).ToList()) Needed(question, linkIds);
        _axes = [.. questionnaire.Questions.Where(q => linkIds.Contains(q.LinkId)).Select(q => Axis(q, parts))];
    }

    /// <summary>True when some intake satisfies the test, false when certainly none does; null when there are too many to look through.</summary>
    public bool? Any(Func<IntakeFacts, bool> test)
    {
        var few = _axes.Select(a => a.Few).ToList();
        if (!Fits(few)) return null;
        if (Walk(0, few, [], test)) return true;
        // What was looked through already was everything, unless some question takes sets.
        if (_axes.All(a => a.Every is null)) return false;
        var every = _axes.Select(a => a.Every?.Value ?? a.Few).ToList();
        return Fits(every) ? Walk(0, every, [], test) : null;
    }

    private static bool Fits(IEnumerable<IReadOnlyList<Answer>> axes) => axes.Aggregate(1L, (product, axis) => Math.Min(product * axis.Count, Most + 1L)) <= Most;

    private bool Walk(int depth, IReadOnlyList<IReadOnlyList<Answer>> axes, Dictionary<string, Answer> answers, Func<IntakeFacts, bool> test)
    {
        if (depth == _axes.Count) return test(new(_questionnaire, new(answers), Today, _signs));
        var question = _axes[depth].Question;
        if (!question.IsAskedGiven(new(answers))) return Walk(depth + 1, axes, answers, test);
        foreach (var value in axes[depth])
        {
            answers[question.LinkId] = value;
            if (Walk(depth + 1, axes, answers, test)) return true;
            answers.Remove(question.LinkId);
        }

        return false;
    }

    private void Needed(Question question, HashSet<string> linkIds)
    {
        foreach (var earlier in question.AskedWhen.Select(w => _questionnaire.Find(w.LinkId)).OfType<Question>())
            if (linkIds.Add(earlier.LinkId)) Needed(earlier, linkIds);
    }

    private (Question, IReadOnlyList<Answer>, Lazy<IReadOnlyList<Answer>>?) Axis(Question question, List<Condition> parts)
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
        if (question.Kind is QuestionKind.Several)
        {
            // What stands alone is never ticked beside another.
            var together = codes.Where(c => !question.Options.Any(o => o.Code == c && o.StandsAlone)).ToList();
            List<Answer> few =
            [
                .. codes.Concat(other).Select(c => new Answer.Given(c)),
                .. from one in together from two in together where string.CompareOrdinal(one, two) < 0 select new Answer.Given([one, two]),
                .. together.Count > 2 ? [new Answer.Given([.. together])] : Array.Empty<Answer>(),
            ];
            return (question, few, together.Count > 3 ? new(() => [.. codes.Concat(other).Select(c => new Answer.Given(c)), .. SetsOf(together)]) : null);
        }

        return (question, question.Kind switch
        {
            QuestionKind.YesNo => [new Answer.Given("yes"), new Answer.Given("no")],
            QuestionKind.Choice => [.. codes.Concat(other).Select(c => new Answer.Given(c))],
            QuestionKind.Date => [.. days.Select(d => new Answer.Given(new DayRange(Today.PlusDays(d), Today.PlusDays(d)).ToString()))],
            _ => InWords(parts.OfType<Condition.Names>().Where(n => n.LinkId == question.LinkId).Select(n => n.Words[0]).ToList()),
        }, null);
    }

    private static IReadOnlyList<Answer> InWords(List<string> names) =>
        [new Answer.Skipped(), .. names.Select(n => new Answer.Given(n)), .. names.Count > 1 ? [new Answer.Given(string.Join(", ", names))] : Array.Empty<Answer>(), new Answer.Given("something")];

    // Every set of two or more; of more than any space could hold, so many that it is not decided.
    private static IEnumerable<Answer> SetsOf(List<string> codes)
    {
        for (var mask = 1L; mask < 1L << Math.Min(codes.Count, 20); mask++)
            if (long.PopCount(mask) > 1) yield return new Answer.Given([.. codes.Where((_, i) => (mask >> i & 1) == 1)]);
    }

    /// <summary>The conditions about questions that a condition is made of.</summary>
    internal static IEnumerable<Condition> PartsOf(Condition condition) => condition switch
    {
        Condition.All all => all.Parts.SelectMany(PartsOf),
        Condition.Any any => any.Parts.SelectMany(PartsOf),
        Condition.Not not => PartsOf(not.Part),
        Condition.Certain certain => PartsOf(certain.Part),
        _ => [condition],
    };
}
