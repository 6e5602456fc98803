using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;
using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>One published version of the candidacy rules.</summary>
/// <param name="Version">Which file and version.</param>
/// <param name="Questionnaire">The questions the rules are about; it tells a question that did not apply from one left out.</param>
/// <param name="Classes">When each product class may be used after these answers.</param>
/// <param name="Rules">In the order of the file.</param>
public sealed record CandidacyRules(
    ContentVersion Version, Questionnaire Questionnaire, IReadOnlyDictionary<ProductClass, Condition> Classes, IReadOnlyList<CandidacyRule> Rules)
{
    /// <summary>What these rules say about one intake, strongest finding first, then by rule id.</summary>
    /// <param name="answers">Answers by linkId. Absent, skipped or "not sure" counts as the flagging answer.</param>
    /// <param name="today">The clinic's local date; wait findings count from it.</param>
    /// <returns>Empty means: nothing told needs sorting out first; it never clears anybody. A certain stop stands alone.</returns>
    public Findings FindingsFor(Answers answers, LocalDate today)
    {
        var facts = new IntakeFacts(Questionnaire, answers, today);
        Finding[] all =
        [
            .. Rules
                .Select(rule => rule.FindingFor(facts, Classes))
                .OfType<Finding>()
                .OrderByDescending(finding => finding.Stops)
                .ThenBy(finding => finding.Kind)
                .ThenBy(finding => finding.RuleId, StringComparer.Ordinal),
        ];
        // Somebody who may not be treated at all is not walked through their health.
        Finding[] stops = [.. all.Where(finding => finding is { Stops: true, FromDoubt: false })];
        return new(Version, stops.Length > 0 ? stops : all);
    }
}
