using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>The dated steps of one patient.</summary>
/// <param name="From">The sequences and the merge rules that made it.</param>
/// <param name="Steps">In order of time; never two within an hour.</param>
/// <param name="LeftOut">Steps not sent by themselves, with their reasons.</param>
/// <param name="Uncovered">Product classes of the record no sequence speaks of: a person must see to their aftercare.</param>
public sealed record AftercarePlan(
    IReadOnlyList<ContentVersion> From, IReadOnlyList<PlannedStep> Steps, IReadOnlyList<LeftOutStep> LeftOut, IReadOnlyList<ProductClass> Uncovered);
