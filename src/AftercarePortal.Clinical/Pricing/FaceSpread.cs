namespace AftercarePortal.Clinical.Pricing;

/// <summary>How the spread of amounts is divided, before the factor f2. Sds on the log scale.</summary>
/// <param name="WholeFace">Shared by every region and side of a face (tau U), at or above 0.</param>
/// <param name="Region">Shared by the sides of one region (tau W), at or above 0.</param>
/// <param name="Side">Of one side (tau E), above 0.</param>
public sealed record FaceSpread(double WholeFace, double Region, double Side);
