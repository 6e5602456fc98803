namespace AftercarePortal.Clinical.Pricing;

/// <summary>Left-right difference.</summary>
/// <param name="Factor">Factor on the sd of one side, by level.</param>
/// <param name="ByAnswer">Probability of each level, by code of <c>side-difference</c>.</param>
/// <param name="Unanswered">The same without an answer.</param>
public sealed record SideDifferencePrior(IReadOnlyList<double> Factor, IReadOnlyDictionary<string, IReadOnlyList<double>> ByAnswer, IReadOnlyList<double> Unanswered);
