namespace AftercarePortal.Clinical.Pricing;

/// <summary>One band of ages; the model knows no finer age.</summary>
/// <param name="From">Youngest, whole years.</param>
/// <param name="Middle">The age the model reckons with, years.</param>
/// <param name="Share">Share of people who ask, 0..1; used when the date of birth is not known.</param>
public sealed record AgeBand(int From, double Middle, double Share);
