namespace AftercarePortal.Clinical.Pricing;

/// <summary>One possible total.</summary>
/// <param name="Total">Minor units.</param>
/// <param name="Probability">Above 0, at most 1; all of a range add up to 1.</param>
public sealed record PriceChance(long Total, double Probability);
