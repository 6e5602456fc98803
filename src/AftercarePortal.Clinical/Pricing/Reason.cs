namespace AftercarePortal.Clinical.Pricing;

/// <summary>One cause of the width of a range.</summary>
/// <param name="Id">Key of the model's words, for example <c>laxity</c>.</param>
/// <param name="Share">Share of the variance of the total, 0..1, three decimals; all reasons together make 1 but for rounding.</param>
/// <param name="Says">The patient's plain words.</param>
public sealed record Reason(string Id, decimal Share, string Says);
