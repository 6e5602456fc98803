using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>One clinic's prices. A price that is not set is absent, never 0.</summary>
/// <param name="Version">Which list.</param>
/// <param name="Currency">ISO 4217; its minor units are those of <see cref="Pricing.Currency.MinorDigits"/>.</param>
/// <param name="Fillers">By product code of the questionnaire, for example <c>caha-filler</c>.</param>
/// <param name="ToxinUnit">One unit of botulinum toxin type A, minor units; null when not set.</param>
/// <param name="Session">One session of skin treatment; null when the clinic offers none (then none is counted).</param>
/// <param name="Fee">Fixed fee a course, minor units, before tax; null when not set (0 must be said).</param>
/// <param name="TaxBasisPoints">Tax on each line, the fee too, hundredths of a percent, 0..10000.</param>
public sealed record PriceList(
    ContentVersion Version, string Currency, IReadOnlyDictionary<string, ProductPrice> Fillers,
    long? ToxinUnit, long? Session, long? Fee, int TaxBasisPoints);
