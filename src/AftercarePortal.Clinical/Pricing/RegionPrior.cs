namespace AftercarePortal.Clinical.Pricing;

/// <summary>What the model expects of one region before this clinic has cases of its own.</summary>
/// <param name="Code">Code of <c>wish-regions</c>.</param>
/// <param name="MedianMl">Median of one side, mL, above 0.</param>
/// <param name="Sides">1 or 2.</param>
/// <param name="LevelSd">Sd of the clinic's own level for this region, log scale.</param>
public sealed record RegionPrior(string Code, double MedianMl, int Sides, double LevelSd);
