namespace AftercarePortal.Clinical.Pricing;

/// <summary>What a clinic's completed cases taught.</summary>
/// <param name="Figures">For the next range.</param>
/// <param name="WithoutExam">Cases used whose laxity or bone level was not recorded; their expected level stood in.</param>
/// <param name="LeftOut">Ids of cases not used, with the reason in plain words.</param>
public sealed record Learned(ClinicFigures Figures, int WithoutExam, IReadOnlyList<(string Id, string Reason)> LeftOut);
