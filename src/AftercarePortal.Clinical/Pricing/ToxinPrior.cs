namespace AftercarePortal.Clinical.Pricing;

/// <summary>Botulinum toxin type A, by laxity. Units are never shown to a patient.</summary>
/// <param name="Region">Counted only when this is wished.</param>
/// <param name="ByLaxity">Units and their probability.</param>
public sealed record ToxinPrior(string Region, IReadOnlyList<IReadOnlyList<(int Units, double Probability)>> ByLaxity);
