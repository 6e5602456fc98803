using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>What was planned for one region, side and product class beside what was used there. It compares; it judges neither.</summary>
/// <param name="Region">Where in the lower face.</param>
/// <param name="Side">The patient's own left or right, or midline.</param>
/// <param name="ProductClass">What it is.</param>
/// <param name="Planned">mL or units; null: nothing was planned there.</param>
/// <param name="Used">mL or units; null: nothing was placed there.</param>
public sealed record PlannedAndUsed(Region Region, Side Side, ProductClass ProductClass, decimal? Planned, decimal? Used)
{
    /// <summary>Used less planned, mL or units; what is missing counts as 0.</summary>
    public decimal Difference => (Used ?? 0) - (Planned ?? 0);

    /// <summary>One line a region, side and class: first in the order of the plan, then what was not planned in the order of the record.</summary>
    public static IReadOnlyList<PlannedAndUsed> Of(IReadOnlyList<Deposit> planned, IReadOnlyList<Deposit> used) =>
    [
        .. planned.Concat(used).Select(d => (d.Region, d.Side, d.ProductClass)).Distinct()
            .Select(at => new PlannedAndUsed(at.Region, at.Side, at.ProductClass, Sum(planned, at), Sum(used, at))),
    ];

    private static decimal? Sum(IReadOnlyList<Deposit> deposits, (Region, Side, ProductClass) at)
    {
        var there = deposits.Where(d => (d.Region, d.Side, d.ProductClass) == at).ToList();
        return there.Count == 0 ? null : there.Sum(d => d.Amount);
    }
}
