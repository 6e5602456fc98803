namespace AftercarePortal.Clinical.Pricing;

/// <summary>Sessions of skin treatment, by laxity.</summary>
/// <param name="Regions">Counted only when one of these is wished.</param>
/// <param name="ByLaxity">Probability of 0, 1, 2 ... sessions.</param>
public sealed record SessionPrior(IReadOnlyList<string> Regions, IReadOnlyList<IReadOnlyList<double>> ByLaxity);
