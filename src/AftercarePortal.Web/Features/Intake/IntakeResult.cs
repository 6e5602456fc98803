using System.Text.Json;
using System.Text.Json.Serialization;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>What one intake came to, in the words it was shown in; pages show it and compute nothing.</summary>
/// <param name="On">The clinic's date it was worked out, ISO.</param>
/// <param name="Questionnaire">Version of the questions.</param>
/// <param name="Rules">Version of the rules.</param>
/// <param name="Answers">Every question that was asked, in order.</param>
/// <param name="Findings">Strongest first; empty never clears anybody.</param>
/// <param name="Earliest">ISO date from which no known waiting time speaks against treatment; null when there is none or it is not known.</param>
/// <param name="WordsSoundUrgent">Whether the person's own words hold something that should not wait for a consultation.</param>
/// <param name="Price">What the wish may cost, whole, so that the quote can be shown again as it was; null when that cannot be said yet.</param>
/// <param name="NoPriceBecause">Why there is no range; empty when there is one.</param>
internal sealed record IntakeResult(
    string On, string Questionnaire, string Rules, IReadOnlyList<IntakeResult.ShownAnswer> Answers, IReadOnlyList<IntakeResult.ShownFinding> Findings,
    string? Earliest, bool WordsSoundUrgent, PriceRange? Price, IReadOnlyList<string> NoPriceBecause)
{
    /// <summary>Those of <see cref="NoPriceBecause"/> that the person can settle; what is the clinic's to mend only staff read.</summary>
    public IReadOnlyList<string> NoPriceYours { get; init; } = [];

    /// <summary>One question with what was answered, both in words.</summary>
    /// <param name="Name">Short name of the question.</param>
    /// <param name="ClinicName">The short name in the clinic's language.</param>
    /// <param name="ClinicWords">What was answered, in the clinic's language; free text stays as written.</param>
    internal sealed record ShownAnswer(string LinkId, string Name, string Question, string Words, AnswerState State, string ClinicName, string ClinicWords);

    /// <summary>One finding in words.</summary>
    /// <param name="Says">For the person.</param>
    /// <param name="Reason">For the clinician.</param>
    /// <param name="Earliest">ISO date, or null.</param>
    /// <param name="Because">The answers behind it.</param>
    /// <param name="ChangedBy">Short names of the questions that alone could make it go away.</param>
    /// <param name="EndsBefore">ISO day wished for, when this wait ends on or before it; else null.</param>
    /// <param name="ForClinician">Only the clinician reads it.</param>
    /// <param name="Covered">Another finding says it to the person already.</param>
    /// <param name="DoubtHasWords">From doubt, and the rule has words of its own for that.</param>
    /// <param name="Chosen">What the clinic had chosen where practice differs; null when the rule spoke as content has it.</param>
    /// <param name="Sources">Ids with their grades; "not seen" where the source is quoted from memory.</param>
    internal sealed record ShownFinding(
        string RuleId, FindingKind Kind, string Says, string Reason, string? Earliest, IReadOnlyList<ShownAnswer> Because,
        IReadOnlyList<string> Sources, bool ClinicDecides, bool FromDoubt, IReadOnlyList<string> ChangedBy, string? EndsBefore, bool ForClinician, bool Covered, bool DoubtHasWords, string? Chosen = null);

    /// <summary>What the person reads: not what is said already by another finding, nor what is for the clinician alone.</summary>
    [JsonIgnore]
    public IEnumerable<ShownFinding> ForPatient => Findings.Where(f => f is { ForClinician: false, Covered: false });

    /// <summary>What the person reads of one kind: a finding alone, or all that hang on one answer not known, which are said as one.</summary>
    public IEnumerable<IReadOnlyList<ShownFinding>> GroupsOf(FindingKind kind) =>
        ForPatient.GroupBy(f => f.FromDoubt && f.Because.Count > 0 ? "?" + f.Because[0].LinkId : f.RuleId)
            .Select(group => group.ToList())
            .Where(group => group.Min(f => f.Kind) == kind);

    /// <summary>Whether it may be said that nothing has to be sorted out: no finding at all, and no own words that should not wait.</summary>
    [JsonIgnore]
    public bool HasNothing => Findings.Count == 0 && !WordsSoundUrgent;

    /// <summary>Key of what is said instead of an earliest date: to ring first, that a day is still to be set, or that nothing has to be waited for.</summary>
    /// <remarks>The last is said only where a clinician reads nothing else either: of what she alone reads, nothing is told, nor that there is nothing.</remarks>
    [JsonIgnore]
    public string EarliestKey =>
        WordsSoundUrgent ? "earliest-ring"
        : Findings.Any(f => f.Kind is FindingKind.Wait) ? "earliest-unknown"
        : GroupsOf(FindingKind.ClearFirst).Any() ? "earliest-settle"
        : Findings.Any(f => f.ForClinician || f.Kind is FindingKind.ClearFirst) ? "earliest-clinic"
        : "earliest-none";

    public string ToJson() => JsonSerializer.Serialize(this);

    public static IntakeResult FromJson(string json) => JsonSerializer.Deserialize<IntakeResult>(json)!;
}
