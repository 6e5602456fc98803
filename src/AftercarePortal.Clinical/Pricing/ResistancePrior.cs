namespace AftercarePortal.Clinical.Pricing;

/// <summary>Resistance of the tissue that a clinician expects, 0 for none: it makes amounts less certain, and somewhat larger.</summary>
/// <param name="Shift">Log shift by level.</param>
/// <param name="Sd">What it adds to the spread of the whole face, log scale, by level, at or above 0.</param>
public sealed record ResistancePrior(IReadOnlyList<double> Shift, IReadOnlyList<double> Sd);
