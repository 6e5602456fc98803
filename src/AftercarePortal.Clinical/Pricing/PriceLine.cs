namespace AftercarePortal.Clinical.Pricing;

/// <summary>One part of the total, with a span of its own. The highs of all lines do not happen together.</summary>
/// <param name="Id"><c>filler</c>, <c>second-visit</c>, <c>toxin</c>, <c>sessions</c> or <c>fee</c>.</param>
/// <param name="Says">Plain words, for example <c>CaHA filler, billed by 1.5 mL: 2 to 3</c>. Never units of toxin.</param>
/// <param name="Span">Where this part falls as often as the range promises (<see cref="PriceRange.Promised"/>), tax included, not rounded. A fixed fee has both ends alike.</param>
/// <param name="Middle">Its part in the most likely way to come to the middle total; these add up to that total. Never shown larger than the span.</param>
public sealed record PriceLine(string Id, string Says, MoneySpan Span, Money Middle);
