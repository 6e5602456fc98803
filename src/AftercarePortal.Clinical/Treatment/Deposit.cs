using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>How much of what goes, or went, where.</summary>
/// <param name="Region">Where in the lower face.</param>
/// <param name="Side">The patient's own left or right, or midline.</param>
/// <param name="ProductClass">What it is.</param>
/// <param name="Amount">mL; units of the very preparation for botulinum toxin type A. Above 0.</param>
public sealed record Deposit(Region Region, Side Side, ProductClass ProductClass, decimal Amount)
{
    /// <summary>Whether the amount is counted in units.</summary>
    public bool InUnits => ProductClass is ProductClass.BotulinumToxinTypeA;
}
