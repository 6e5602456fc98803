namespace AftercarePortal.Clinical.Pricing;

/// <summary>How the clinic bills one filler class.</summary>
/// <param name="UnitMl">Billed unit in mL, 0.1 or more in a price list: a whole syringe, or the part the clinic bills.</param>
/// <param name="ToleranceMl">How much over a unit still opens no new one, mL, 0 or more.</param>
/// <param name="First">Price of the first unit of a visit, minor units, before tax.</param>
/// <param name="Next">Price of each further unit of that visit, minor units.</param>
public sealed record ProductPrice(double UnitMl, double ToleranceMl, long First, long Next)
{
    /// <summary>Nobody bills a filler by less, mL (common practice, no source).</summary>
    public const double SmallestUnitMl = 0.1;
}
