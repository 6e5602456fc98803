namespace AftercarePortal.Clinical.Pricing;

/// <summary>One bar of the drawn distribution.</summary>
/// <param name="From">Lower edge, minor units, not included but for the first.</param>
/// <param name="To">Upper edge, included.</param>
/// <param name="Probability">0..1. What lies above the last bar is more than the outer bound.</param>
public sealed record PriceBar(long From, long To, double Probability);
