namespace AftercarePortal.Clinical.Pricing;

/// <summary>A package that may be charged in a range.</summary>
/// <param name="Id">Its word in the price list.</param>
/// <param name="Names">What a patient reads, by BCP 47 tag.</param>
/// <param name="Units">Billed units or sessions it holds.</param>
/// <param name="Price">With tax.</param>
/// <param name="Chance">How often it is charged, 0..1.</param>
public sealed record RangePackage(string Id, IReadOnlyDictionary<string, string> Names, int Units, Money Price, double Chance);
