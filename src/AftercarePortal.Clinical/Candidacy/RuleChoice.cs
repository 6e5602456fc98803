namespace AftercarePortal.Clinical.Candidacy;

/// <summary>One way of practising that content lets a clinic choose instead of the rule as it stands.</summary>
/// <param name="Id">Stable within its rule.</param>
/// <param name="Means">What it means, for whoever chooses.</param>
/// <param name="Rule">The rule as it reads when this is chosen; it bears the id of the rule it stands for.</param>
public sealed record RuleChoice(string Id, string Means, CandidacyRule Rule);
