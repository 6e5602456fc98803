using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>One line of a treatment plan as somebody is writing it: anything may still be missing.</summary>
/// <inheritdoc cref="Treatment.Deposit" />
public sealed record PlanLineDraft(Region? Region, Side? Side, ProductClass? ProductClass, decimal? Amount)
{
    /// <summary>Everything that keeps it from being planned, in the order of the form; empty when nothing does. Amounts are bounded as in a record.</summary>
    public IEnumerable<RefusalReason> Against()
    {
        if (Region is null) yield return RefusalReason.RegionMissing;
        if (Side is null) yield return RefusalReason.SideMissing;
        if (Side is Anatomy.Side.Midline && Region?.HasTwoSides is true) yield return RefusalReason.SideWrong;
        if (ProductClass is not { } product) yield return RefusalReason.ProductClassMissing;
        else
        {
            var toxin = product is Products.ProductClass.BotulinumToxinTypeA;
            if (Region is Anatomy.Region.Platysma && !toxin) yield return RefusalReason.RegionWrong;
            var (most, decimals) = toxin ? (PlacementDraft.MostUnits, 1) : (PlacementDraft.MostMl, 2);
            if (!(Amount is > 0 and { } amount && amount <= most && decimal.Round(amount, decimals) == amount)) yield return RefusalReason.AmountWrong;
        }
    }

    /// <summary>The deposit it plans, once nothing speaks against it; null before.</summary>
    public Deposit? Deposit => Against().Any() ? null : new(Region!.Value, Side!.Value, ProductClass!.Value, Amount!.Value);
}
