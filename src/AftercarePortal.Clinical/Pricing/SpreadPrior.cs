namespace AftercarePortal.Clinical.Pricing;

/// <summary>How much faces differ once all that is known is taken into account.</summary>
/// <param name="WholeFace">Sd shared by all regions of a face, log scale.</param>
/// <param name="Region">Sd of one region, shared by its sides.</param>
/// <param name="Side">Sd of one side.</param>
/// <param name="LikeCases">Degrees of freedom: as if so many measurements had been seen.</param>
/// <param name="Scale">Scale of the factor on all variances, 1 as published.</param>
public sealed record SpreadPrior(double WholeFace, double Region, double Side, double LikeCases, double Scale);
