using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Features.Treatment;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>What a signed record says was used, in the codes of the price model; addenda that put an amount right count.</summary>
internal static class Used
{
    /// <summary>Code of <c>wish-product</c>; null for what the model does not count in mL.</summary>
    public static string? CodeOf(ProductClass product) => product switch { ProductClass.CaHAFiller => "caha-filler", ProductClass.HAFiller => "ha-filler", _ => null };

    /// <summary>Code of <c>wish-regions</c>.</summary>
    public static string CodeOf(Region region) => region is Region.Platysma
        ? "neck-bands"
        : string.Concat(region.ToString().Select((c, i) => char.IsUpper(c) ? (i > 0 ? "-" : "") + char.ToLowerInvariant(c) : c.ToString()));

    /// <summary>mL of fillers by product, region and side; what came to nothing is left out.</summary>
    public static IReadOnlyList<(string Product, string Region, Side Side, double Ml)> Fillers(TreatmentRow record) =>
    [
        .. from p in record.Placements
           where CodeOf(p.ProductClass) is not null
           group record.RightAmountOf(p) by (Product: CodeOf(p.ProductClass)!, Region: CodeOf(p.Region), p.Side) into amounts
           let ml = amounts.Sum() / 100.0
           where ml > 0
           select (amounts.Key.Product, amounts.Key.Region, amounts.Key.Side, ml),
    ];

    /// <summary>One visit as the price list bills it.</summary>
    public static UsedCost.Visit Billed(TreatmentRow record) => new(
        Fillers(record).GroupBy(f => f.Product).ToDictionary(f => f.Key, f => f.Sum(x => x.Ml)),
        record.Placements.Where(p => p.ProductClass is ProductClass.BotulinumToxinTypeA).Sum(record.RightAmountOf) / 10.0);
}
