using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using NodaTime;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>One deposit as somebody is writing it: anything may still be missing. The one place that says what a placement must hold.</summary>
/// <inheritdoc cref="Placement" />
public sealed record PlacementDraft(
    Region? Region, Side? Side, Volume? Volume, decimal? Units, Plane? Plane, string Device,
    string ProductName, ProductClass? ProductClass, string Lot, LocalDate? Expiry)
{
    /// <summary>Most millilitres of one placement: a guard against a slipped decimal point, not a dose limit (from memory, unchecked).</summary>
    public const decimal MostMl = 20m;

    /// <summary>Most units of one placement: a guard against a slipped decimal point, not a dose limit (from memory, unchecked).</summary>
    public const decimal MostUnits = 100m;

    /// <summary>Everything that keeps it from being signed, in the order of the form; empty when nothing does.</summary>
    /// <param name="treatedOn">The clinic's local date of treatment; null: not known yet, so expiry cannot be judged.</param>
    public IEnumerable<RefusalReason> Against(LocalDate? treatedOn)
    {
        var toxin = ProductClass is Products.ProductClass.BotulinumToxinTypeA;
        if (Region is null) yield return RefusalReason.RegionMissing;
        if (Side is null) yield return RefusalReason.SideMissing;
        if (Side is Anatomy.Side.Midline && Region?.HasTwoSides is true) yield return RefusalReason.SideWrong;
        if (Plane is null) yield return RefusalReason.PlaneMissing;
        if (ProductClass is null) yield return RefusalReason.ProductClassMissing;
        if (Region is Anatomy.Region.Platysma && ProductClass is not null && !toxin) yield return RefusalReason.RegionWrong;
        if (Expiry is null) yield return RefusalReason.ExpiryMissing;
        if (treatedOn is { } day && Expiry < day) yield return RefusalReason.Expired;
        if (string.IsNullOrWhiteSpace(Lot)) yield return RefusalReason.LotMissing;
        if (string.IsNullOrWhiteSpace(ProductName)) yield return RefusalReason.ProductMissing;
        if (string.IsNullOrWhiteSpace(Device)) yield return RefusalReason.DeviceMissing;
        if (ProductClass is not null && !AmountIsRight(toxin)) yield return RefusalReason.AmountWrong;
    }

    /// <summary>The placement, once nothing speaks against it; null before.</summary>
    public Placement? Placement =>
        this is { Region: { } region, Side: { } side, Plane: { } plane, ProductClass: { } product, Expiry: { } expiry } && !Against(null).Any()
            ? new(region, side, Volume, Units, plane, Device, ProductName, product, Lot, expiry)
            : null;

    private bool AmountIsRight(bool toxin) => toxin
        ? this is { Volume: null, Units: > 0 and <= MostUnits and { } units } && decimal.Round(units, 1) == units
        : this is { Units: null, Volume.Ml: > 0 and <= MostMl };
}
