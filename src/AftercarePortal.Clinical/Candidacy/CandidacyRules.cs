using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;
using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>One published version of the candidacy rules.</summary>
/// <param name="Version">Which file and version.</param>
/// <param name="Questionnaire">The questions the rules are about; it tells a question that did not apply from one left out.</param>
/// <param name="Classes">When each product class may be used after these answers.</param>
/// <param name="Visit">The date question for the day wished for treatment, or null when the questionnaire has none.</param>
/// <param name="Rules">In the order of the file.</param>
public sealed record CandidacyRules(
    ContentVersion Version, Questionnaire Questionnaire, IReadOnlyDictionary<ProductClass, Condition> Classes, string? Visit, IReadOnlyList<CandidacyRule> Rules)
{
    private static readonly IReadOnlySet<string> NoSigns = new HashSet<string>();

    /// <summary>The same rules as one clinic practises them.</summary>
    /// <param name="choices">Id of the choice by id of the rule. What these rules do not offer changes nothing: the rule stands as it is.</param>
    public CandidacyRules Under(IReadOnlyDictionary<string, string> choices) =>
        choices.Count == 0 ? this : this with { Rules = [.. Rules.Select(rule => rule.Choices.FirstOrDefault(c => c.Id == choices.GetValueOrDefault(rule.Id))?.Rule ?? rule)] };

    /// <summary>What these rules say about one intake, strongest finding first, then by rule id.</summary>
    /// <param name="answers">Answers by linkId. Absent, skipped or "not sure" counts as the flagging answer.</param>
    /// <param name="today">The clinic's local date; wait findings count from it.</param>
    /// <param name="signs">Warning signs read in the person's own words (ids of triage concepts); null when nobody read them.</param>
    /// <param name="planned">Product classes a clinician means to use, whatever was wished for; null or empty: the wishes alone decide.</param>
    /// <returns>Empty means: nothing told needs sorting out first; it never clears anybody. A certain stop stands alone.</returns>
    public Findings FindingsFor(Answers answers, LocalDate today, IReadOnlySet<string>? signs = null, IReadOnlySet<ProductClass>? planned = null)
    {
        var facts = new IntakeFacts(Questionnaire, answers, today, signs ?? NoSigns);
        var visit = Visit is null ? null : facts.DateOf(Visit);
        var uses = new ProductUses(facts, Classes, planned);
        var all = new List<Finding>();
        foreach (var rule in Rules)
            if (rule.FindingFor(facts, uses) is { } finding) all.Add(finding is { Kind: FindingKind.Wait, Earliest: { } day } && day <= visit ? finding with { EndsBefore = visit } : finding);
        all.Sort(StrongestFirst);
        // Somebody who may not be treated at all is not walked through their health.
        Finding[] stops = [.. all.Where(finding => finding is { Stops: true, FromDoubt: false })];
        if (stops.Length > 0) return new(Version, stops, []);
        var covered = CoveredIn(all);
        return covered.Count == 0
            ? new(Version, all, [])
            : new(Version, [.. all.Where(f => !covered.Contains(f.RuleId))], [.. all.Where(f => covered.Contains(f.RuleId))]);
    }

    /// <summary>The questions of a finding that alone could make it go away if they were answered otherwise.</summary>
    /// <param name="finding">A finding of these rules about these answers.</param>
    /// <param name="answers">The same answers.</param>
    /// <param name="today">The same day.</param>
    /// <param name="signs">The same signs.</param>
    /// <returns>Link ids in the order of the causes. Empty: more than one answer would have to differ, or nothing but words caused it.</returns>
    public IReadOnlyList<string> WouldChange(Finding finding, Answers answers, LocalDate today, IReadOnlySet<string>? signs = null)
    {
        if (Rules.FirstOrDefault(r => r.Id == finding.RuleId) is not { } rule) return [];
        return
        [
            .. from cause in finding.Causes.Select(c => c.LinkId)
               where Questionnaire.Find(cause) is { } question && OthersThan(question, today).Any(other =>
               {
                   var changed = new Dictionary<string, Answer>(answers.ByLinkId) { [cause] = other };
                   return Finds(rule, new(Questionnaire, new(changed), today, signs ?? NoSigns)) is null;
               })
               select cause,
        ];
    }

    private Finding? Finds(CandidacyRule rule, IntakeFacts facts) => rule.FindingFor(facts, new(facts, Classes));

    private static int StrongestFirst(Finding one, Finding other) =>
        one.Stops != other.Stops ? (one.Stops ? -1 : 1) : one.Kind != other.Kind ? one.Kind.CompareTo(other.Kind) : string.CompareOrdinal(one.RuleId, other.RuleId);

    // A finding from doubt never covers one that is certain.
    private HashSet<string> CoveredIn(List<Finding> all)
    {
        var covered = new HashSet<string>(StringComparer.Ordinal);
        foreach (var rule in Rules)
        {
            if (rule.Covers.Count == 0 || all.Find(f => f.RuleId == rule.Id) is not { } by) continue;
            foreach (var other in all)
                if (rule.Covers.Contains(other.RuleId) && other.Kind >= by.Kind && (!by.FromDoubt || other.FromDoubt)) covered.Add(other.RuleId);
        }

        return covered;
    }

    private static IEnumerable<Answer> OthersThan(Question question, LocalDate today) => question.Kind switch
    {
        QuestionKind.YesNo => [new Answer.Given("yes"), new Answer.Given("no")],
        QuestionKind.Choice or QuestionKind.Several => question.Options.Select(o => new Answer.Given(o.Code)),
        QuestionKind.Date => new[] { -3650, -10950, 3650 }.Select(days => new Answer.Given(new DayRange(today.PlusDays(days), today.PlusDays(days)).ToString())),
        _ => [],
    };
}
