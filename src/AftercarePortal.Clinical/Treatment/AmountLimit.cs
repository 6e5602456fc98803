using System.Globalization;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>An amount a cited protocol did not go beyond. More of it is said, never refused.</summary>
/// <param name="Product">The class it is about.</param>
/// <param name="Regions">Their amounts are added up; never empty.</param>
/// <param name="PerSide">True: left and right each on their own, midline left out; false: everything of the visit.</param>
/// <param name="TouchUp">True: only at a touch-up; false: only at any other visit; null: at every visit.</param>
/// <param name="Most">mL, or units for botulinum toxin type A; above 0.</param>
/// <param name="Says">What is said of more, with {side} and {amount} to fill.</param>
/// <param name="Source">Where it stands.</param>
public sealed record AmountLimit(ProductClass Product, IReadOnlyList<Region> Regions, bool PerSide, bool? TouchUp, decimal Most, string Says, string Source)
{
    internal IEnumerable<SafetyPrompt> For(IReadOnlyList<Deposit> deposits, bool touchUp)
    {
        if (TouchUp is { } only && only != touchUp) yield break;
        foreach (var side in PerSide ? new Side?[] { Side.Left, Side.Right } : [null])
        {
            var total = deposits.Where(d => d.ProductClass == Product && Regions.Contains(d.Region) && (side is null || d.Side == side)).Sum(d => d.Amount);
            if (total > Most) yield return new(Filled(side, total), Source, OverLimit: true);
        }
    }

    private string Filled(Side? side, decimal total)
    {
        var amount = Product is ProductClass.BotulinumToxinTypeA ? total.ToString("0.0", CultureInfo.InvariantCulture) + " units" : total.ToString("0.00", CultureInfo.InvariantCulture) + " mL";
        return Says.Replace("{amount}", amount, StringComparison.Ordinal).Replace("{side}", side is Side.Right ? "right" : "left", StringComparison.Ordinal);
    }
}
