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
        var all = new List<Finding>(Rules.Count);
        var (covering, stopped) = (new List<(CandidacyRule Rule, Finding Finding)>(), false);
        foreach (var rule in Rules)
        {
            if (rule.FindingFor(facts, uses) is not { } finding) continue;
            if (finding is { Kind: FindingKind.Wait, Earliest: { } day } && day <= visit) finding = finding with { EndsBefore = visit };
            all.Add(finding);
            if (rule.Covers.Count > 0) covering.Add((rule, finding));
            stopped |= finding is { Stops: true, FromDoubt: false };
        }

        all.Sort(StrongestFirst);
        // Somebody who may not be treated at all is not walked through their health.
        if (stopped) return new(Version, [.. all.Where(finding => finding is { Stops: true, FromDoubt: false })], []);
        var covered = CoveredIn(all, covering);
        return covered.Contains(true) ? new(Version, Kept(all, covered, false), Kept(all, covered, true)) : new(Version, all, []);
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
        one.Stops != other.Stops ? (one.Stops ? -1 : 1) : one.Kind != other.Kind ? (one.Kind < other.Kind ? -1 : 1) : string.CompareOrdinal(one.RuleId, other.RuleId);

    // A finding from doubt never covers one that is certain.
    private static bool[] CoveredIn(List<Finding> all, List<(CandidacyRule Rule, Finding Finding)> covering)
    {
        var covered = new bool[all.Count];
        foreach (var (rule, by) in covering)
            for (var c = 0; c < rule.Covers.Count; c++)
                for (var i = 0; i < covered.Length; i++)
                    covered[i] |= all[i].RuleId == rule.Covers[c] && all[i].Kind >= by.Kind && (!by.FromDoubt || all[i].FromDoubt);
        return covered;
    }

    private static List<Finding> Kept(List<Finding> all, bool[] covered, bool which)
    {
        var kept = new List<Finding>(all.Count);
        for (var i = 0; i < covered.Length; i++)
            if (covered[i] == which) kept.Add(all[i]);
        return kept;
    }

    private static IEnumerable<Answer> OthersThan(Question question, LocalDate today) => question.Kind switch
    {
        QuestionKind.YesNo => [new Answer.Given("yes"), new Answer.Given("no")],
        QuestionKind.Choice or QuestionKind.Several => question.Options.Select(o => new Answer.Given(o.Code)),
        QuestionKind.Date => new[] { -3650, -10950, 3650 }.Select(days => new Answer.Given(new DayRange(today.PlusDays(days), today.PlusDays(days)).ToString())),
        _ => [],
    };
}
