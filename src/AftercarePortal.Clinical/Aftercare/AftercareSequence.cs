using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>One published version of the aftercare of one product class.</summary>
/// <param name="Version">The file that says so.</param>
/// <param name="For">The product class.</param>
/// <param name="Steps">Every message; never empty.</param>
public sealed record AftercareSequence(ContentVersion Version, ProductClass For, IReadOnlyList<Step> Steps);
