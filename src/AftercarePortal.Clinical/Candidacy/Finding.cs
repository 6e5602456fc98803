using AftercarePortal.Clinical.Sources;
using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>What one rule says about one intake. It flags for a clinician; it never clears or refuses.</summary>
/// <param name="RuleId">The rule.</param>
/// <param name="Kind">What it asks for.</param>
/// <param name="Says">Words for the patient.</param>
/// <param name="Reason">Words for the clinician.</param>
/// <param name="Earliest">Earliest date to discuss, to be confirmed by the clinic; null when it is not known.</param>
/// <param name="Causes">Answers that led to it, at least one.</param>
/// <param name="Citations">Sources of the rule, at least one.</param>
/// <param name="ClinicDecides">Published or practising clinicians disagree: the clinic's own setting comes first.</param>
/// <param name="FromDoubt">True when an answer is missing or not sure, rather than flagging by itself.</param>
/// <param name="ForClinician">True when only the clinician reads it.</param>
/// <param name="Stops">True when the intake kindly ends here and nothing may be booked.</param>
public sealed record Finding(
    string RuleId, FindingKind Kind, string Says, string Reason, LocalDate? Earliest, IReadOnlyList<Cause> Causes,
    IReadOnlyList<Citation> Citations, bool ClinicDecides, bool FromDoubt, bool Stops, bool ForClinician)
{
    /// <summary>The day wished for treatment, when this finding is a wait that ends on or before it; otherwise null.</summary>
    public LocalDate? EndsBefore { get; init; }

    /// <summary>What the clinic chose where practice differs; null when the rule speaks as content has it.</summary>
    public string? Chosen { get; init; }
}
