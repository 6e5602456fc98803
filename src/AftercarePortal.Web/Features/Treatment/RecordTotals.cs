using System.Globalization;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>What was drawn up, placed and left, in words.</summary>
internal static class RecordTotals
{
    /// <summary>One line a lot of a signed record as its addenda put it right, then one a dilution.</summary>
    public static IReadOnlyList<string> Lines(TreatmentRow signed)
    {
        var treatment = signed.AsPutRight();
        List<DrawnUp> drawn = [.. treatment.Drawn.Select(d => new DrawnUp(d.ProductClass, d.Lot, d.Hundredths / 100m, d.HundredthsDiluent / 100m))];
        var placed = treatment.Placements.Select(p => new Placement(
            p.Region, p.Side, Volume.TryOfMl(p.HundredthsMl / 100m), p.TenthsUnits / 10m, p.Plane, p.Device, p.ProductName, p.ProductClass, p.Lot, p.Expiry));
        return Lines(LotTotal.Of([.. placed], drawn), drawn);
    }

    /// <summary>The same of a record that is still being written.</summary>
    public static IReadOnlyList<string> Lines(IReadOnlyList<LotTotal> totals, IReadOnlyList<DrawnUp> drawn) =>
    [
        .. totals.Select(t => $"{t.ProductClass.Name()}, lot {t.Lot}: " + (t.Drawn is { } up
            ? $"{Amount(up, t)} drawn up, {Amount(t.Placed, t)} placed, {(t.Left < 0 ? $"{Amount(-t.Left!.Value, t)} more placed than drawn up" : $"{Amount(t.Left!.Value, t)} left")}."
            : $"{Amount(t.Placed, t)} placed; what was drawn up is not written down.")),
        .. drawn.Where(d => d.DiluentMl is not null).Select(d => string.Create(CultureInfo.InvariantCulture, $"{d.ProductClass.Name()}, lot {d.Lot}: dissolved or diluted with {d.DiluentMl:0.00} mL")
            + (d.UnitsInTenthMl is { } units ? string.Create(CultureInfo.InvariantCulture, $", {units:0.##} units of this preparation in 0.1 mL.") : ".")),
    ];

    private static string Amount(decimal amount, LotTotal total) => total.ProductClass is ProductClass.BotulinumToxinTypeA
        ? amount.ToString("0.0", CultureInfo.InvariantCulture) + " units"
        : amount.ToString("0.00", CultureInfo.InvariantCulture) + " mL";
}
