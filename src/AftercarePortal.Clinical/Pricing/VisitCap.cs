namespace AftercarePortal.Clinical.Pricing;

/// <summary>A protocol's cap for one visit. It only says that treatment may be staged; it cuts nothing.</summary>
/// <param name="Product">Product code.</param>
/// <param name="Regions">Regions it counts.</param>
/// <param name="MlPerSide">mL a side, above 0.</param>
public sealed record VisitCap(string Product, IReadOnlyList<string> Regions, double MlPerSide);
