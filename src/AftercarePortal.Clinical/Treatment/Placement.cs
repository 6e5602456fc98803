using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using NodaTime;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>One deposit in a record. Checked when the record is signed, so a wrong one can be shown back as it was typed.</summary>
/// <param name="Region">Where in the lower face.</param>
/// <param name="Side">The patient's own left or right, or midline.</param>
/// <param name="Volume">Amount in mL; null for botulinum toxin type A.</param>
/// <param name="Units">Amount in units of this very preparation, steps of 0.1, for botulinum toxin type A only; units of two preparations never compare.</param>
/// <param name="Plane">Depth.</param>
/// <param name="Device">Needle or cannula, as the clinic writes it.</param>
/// <param name="ProductName">The clinic's own name of the product.</param>
/// <param name="ProductClass">What it is.</param>
/// <param name="Lot">Lot as printed on the pack; finds the patients of a recall.</param>
/// <param name="Expiry">Last local date the pack may be used.</param>
public sealed record Placement(
    Region Region, Side Side, Volume? Volume, decimal? Units, Plane Plane, string Device,
    string ProductName, ProductClass ProductClass, string Lot, LocalDate Expiry)
{
    /// <summary>How much went where.</summary>
    public Deposit Deposit => new(Region, Side, ProductClass, Units ?? Volume?.Ml ?? 0);

    /// <summary>The same, to be checked.</summary>
    internal PlacementDraft Draft => new(Region, Side, Volume, Units, Plane, Device, ProductName, ProductClass, Lot, Expiry);
}
