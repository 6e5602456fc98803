namespace AftercarePortal.Clinical.Pricing;

/// <summary>A possible second visit.</summary>
/// <param name="Probability">0..1.</param>
/// <param name="Share">Median amount as a share of what the first visit billed, above 0.</param>
/// <param name="Sd">Sd of the log of that share, at or above 0.</param>
public sealed record SecondVisit(double Probability, double Share, double Sd);
