using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Features.Treatment;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>What the records of one visit that hold say was used, as their addenda put them right, in the codes of the price model.</summary>
internal static class Used
{
    /// <summary>Code of <c>wish-product</c>; null for what the model does not count in mL.</summary>
    public static string? CodeOf(ProductClass product) => product switch { ProductClass.CaHAFiller => "caha-filler", ProductClass.HAFiller => "ha-filler", _ => null };

    /// <summary>Code of <c>wish-regions</c>.</summary>
    public static string CodeOf(Region region) => region is Region.Platysma
        ? "neck-bands"
        : string.Concat(region.ToString().Select((c, i) => char.IsUpper(c) ? (i > 0 ? "-" : "") + char.ToLowerInvariant(c) : c.ToString()));

    /// <summary>mL of fillers by product class, region and side; what came to nothing is left out.</summary>
    public static IReadOnlyList<(string Product, string Region, Side Side, double Ml)> Fillers(IReadOnlyList<TreatmentRow> visit) =>
    [
        .. from p in visit.SelectMany(record => record.Placements)
           where CodeOf(p.ProductClass) is not null
           group p.HundredthsMl.GetValueOrDefault() by (Product: CodeOf(p.ProductClass)!, Region: CodeOf(p.Region), p.Side) into amounts
           let ml = amounts.Sum() / 100.0
           where ml > 0
           select (amounts.Key.Product, amounts.Key.Region, amounts.Key.Side, ml),
    ];

    /// <summary>Whether something was placed that is billed by sessions, and no session was said.</summary>
    public static bool HasUnpriced(IEnumerable<IReadOnlyList<TreatmentRow>> visits, int sessions) =>
        sessions == 0 && visits.SelectMany(visit => visit).SelectMany(record => record.Placements).Any(p => CodeOf(p.ProductClass) is null && p.ProductClass is not ProductClass.BotulinumToxinTypeA && p.HundredthsMl > 0);

    /// <summary>One visit as the price list bills it.</summary>
    public static UsedCost.Visit Billed(IReadOnlyList<TreatmentRow> visit)
    {
        var regions = Fillers(visit).ToLookup(f => f.Product, f => f.Region);
        var fillers = from p in visit.SelectMany(record => record.Placements)
                      where CodeOf(p.ProductClass) is not null && p.HundredthsMl > 0
                      group p by p.ProductClass into placed
                      let code = CodeOf(placed.Key)!
                      let products = placed.GroupBy(p => p.ProductName.Trim(), StringComparer.OrdinalIgnoreCase).ToDictionary(p => p.Key, p => p.Sum(x => x.HundredthsMl.GetValueOrDefault()) / 100.0)
                      // What was made ready is written down a line a syringe.
                      let opened = visit.SelectMany(record => record.Drawn).Count(d => d.ProductClass == placed.Key && d.Hundredths > 0)
                      select new UsedCost.Filler(code, products, opened, [.. regions[code].Distinct()]);
        return new([.. fillers], visit.SelectMany(record => record.Placements).Where(p => p.ProductClass is ProductClass.BotulinumToxinTypeA).Sum(p => p.TenthsUnits.GetValueOrDefault()) / 10.0);
    }
}
