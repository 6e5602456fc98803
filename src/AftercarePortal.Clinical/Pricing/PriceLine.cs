namespace AftercarePortal.Clinical.Pricing;

/// <summary>One part of the total, with its own 10-90 span. The highs of all lines do not happen together.</summary>
/// <param name="Says">Plain words, for example <c>CaHA filler, 1.5 mL: 2 to 4</c>.</param>
/// <param name="Span">Where this part falls in about 8 of 10 cases, tax included, not rounded. A fixed fee has both ends alike.</param>
public sealed record PriceLine(string Says, MoneySpan Span);
