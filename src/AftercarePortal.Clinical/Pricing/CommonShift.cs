namespace AftercarePortal.Clinical.Pricing;

/// <summary>One thing the answers leave possible, as a shift of every region.</summary>
/// <param name="Weight">Probability, 0..1.</param>
/// <param name="Delta">Log shift.</param>
/// <param name="SharedVariance">Variance of what this clinic's own records would settle, before f2.</param>
public sealed record CommonShift(double Weight, double Delta, double SharedVariance);
