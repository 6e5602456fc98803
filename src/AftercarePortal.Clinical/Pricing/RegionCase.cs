namespace AftercarePortal.Clinical.Pricing;

/// <summary>One region of a case.</summary>
/// <param name="LogMedian">Log of the median mL of one side.</param>
/// <param name="Sides">1 or 2.</param>
/// <param name="Variance">Clinic's own uncertainty of this region, before f2.</param>
public sealed record RegionCase(double LogMedian, int Sides, double Variance);
