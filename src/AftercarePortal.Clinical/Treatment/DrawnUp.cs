using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>What was made ready of one lot: syringes opened, or a vial dissolved.</summary>
/// <param name="ProductClass">What it is.</param>
/// <param name="Lot">Lot as on the pack.</param>
/// <param name="Amount">mL in all syringes of the lot; for botulinum toxin type A the units in the vial. Above 0.</param>
/// <param name="DiluentMl">mL added to it; needed for botulinum toxin type A.</param>
public sealed record DrawnUp(ProductClass ProductClass, string Lot, decimal Amount, decimal? DiluentMl)
{
    /// <summary>Most of one lot at one visit, mL or units: a guard against a slipped decimal point, not a dose limit (judgement, no source).</summary>
    public const decimal Most = 1000m;

    /// <summary>Most mL of diluent: a guard against a slipped decimal point (judgement, no source).</summary>
    public const decimal MostDiluent = 50m;

    /// <summary>Whether it is a toxin, counted in units.</summary>
    public bool InUnits => ProductClass is ProductClass.BotulinumToxinTypeA;

    /// <summary>Units in 0.1 mL of a dissolved vial; null without diluent or for anything that is not counted in units.</summary>
    public decimal? UnitsInTenthMl => InUnits && DiluentMl is > 0 and { } ml ? Amount / ml / 10 : null;

    /// <summary>Everything that is wrong with it; empty when nothing is.</summary>
    public IEnumerable<RefusalReason> Against()
    {
        if (string.IsNullOrWhiteSpace(Lot)) yield return RefusalReason.LotMissing;
        if (Amount is <= 0 or > Most || decimal.Round(Amount, 2) != Amount) yield return RefusalReason.AmountWrong;
        if (InUnits && DiluentMl is null) yield return RefusalReason.DiluentMissing;
        if (DiluentMl is <= 0 or > MostDiluent || DiluentMl is { } ml && decimal.Round(ml, 2) != ml) yield return RefusalReason.DiluentWrong;
    }
}
