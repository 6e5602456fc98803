using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>One answer behind a finding.</summary>
/// <param name="LinkId">The question.</param>
/// <param name="Answer">What was answered; a question never reached counts as skipped.</param>
public sealed record Cause(string LinkId, Answer Answer);
