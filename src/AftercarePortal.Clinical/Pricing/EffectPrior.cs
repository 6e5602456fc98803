namespace AftercarePortal.Clinical.Pricing;

/// <summary>Prior of one log effect.</summary>
/// <param name="Mean">Log shift.</param>
/// <param name="Sd">At or above 0.</param>
public sealed record EffectPrior(double Mean, double Sd);
