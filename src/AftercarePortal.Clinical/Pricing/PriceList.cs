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
    long? ToxinUnit, long? Session, long? Fee, int TaxBasisPoints)
{
    /// <summary>Packages, in the list's order; see <see cref="PackagePolicy"/>.</summary>
    public IReadOnlyList<PricePackage> Packages { get; init; } = [];

    /// <summary>The packages that count when a product goes to these regions, in the list's order.</summary>
    /// <param name="of">Product code, or <see cref="PricePackage.Sessions"/>.</param>
    /// <param name="regions">Every region the product goes to at that visit.</param>
    public IReadOnlyList<PricePackage> PackagesFor(string of, IReadOnlyCollection<string> regions) =>
        [.. Packages.Where(p => p.Of == of && (p.Regions.Count == 0 || regions.All(p.Regions.Contains)))];

    /// <summary>Price of the first unit and of each further one; null when the list has none.</summary>
    /// <param name="of">Product code, or <see cref="PricePackage.Sessions"/>.</param>
    public (long First, long Next)? UnitOf(string of) =>
        of == PricePackage.Sessions ? Session is { } session ? (session, session) : null : Fillers.TryGetValue(of, out var price) ? (price.First, price.Next) : null;

    /// <summary>A line with its tax, rounded half up in whole minor units.</summary>
    public long Taxed(long minor) => Money.Taxed(minor, TaxBasisPoints);
}
