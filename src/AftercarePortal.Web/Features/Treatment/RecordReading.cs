using System.Globalization;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Reads the typed form into rows and says everything that keeps it from being signed.</summary>
internal static class RecordReading
{
    /// <summary>Most millilitres of one placement: a guard against a slipped decimal point, not a dose limit (from memory, unchecked).</summary>
    public const decimal MostMl = 20m;

    /// <summary>Most units of one placement: a guard against a slipped decimal point, not a dose limit (from memory, unchecked).</summary>
    public const decimal MostUnits = 100m;

    /// <summary>The local date, or null and a reason: not a date, or after today.</summary>
    public static LocalDate? Day(string? typed, LocalDate today, List<string> reasons)
    {
        if (Date(typed) is not { } day) reasons.Add("Day of treatment: give a date.");
        else if (day > today) reasons.Add("Day of treatment: it is in the future.");
        else return day;
        return null;
    }

    /// <summary>The placements of all lines that are not blank; reasons name their line.</summary>
    public static List<PlacementRow> Placements(IReadOnlyList<PlacementForm> lines, LocalDate? treatedOn, List<string> reasons)
    {
        var rows = new List<PlacementRow>();
        for (var i = 0; i < lines.Count; i++)
            if (!lines[i].IsBlank && Placement(lines[i], i + 1, treatedOn, reasons) is { } row) rows.Add(row);
        if (lines.All(l => l.IsBlank)) reasons.Add("Give at least one placement.");
        return rows;
    }

    private static PlacementRow? Placement(PlacementForm line, int number, LocalDate? treatedOn, List<string> reasons)
    {
        var before = reasons.Count;
        void Refuse(string reason) => reasons.Add($"Placement {number}: {reason}");

        var region = Choice<Region>(line.Region);
        var side = Choice<Side>(line.Side);
        var plane = Choice<Plane>(line.Plane);
        var product = ProductClassNames.Parse(line.Product);
        var expiry = Date(line.Expiry);
        var toxin = product is ProductClass.BotulinumToxinTypeA;
        if (region is null) Refuse("choose the region.");
        if (side is null) Refuse("choose the side.");
        if (plane is null) Refuse("choose the plane.");
        if (product is null) Refuse("choose the product class.");
        if (region is Region.Platysma && product is not null && !toxin) Refuse("platysma takes botulinum toxin type A only.");
        Text(line.ProductName, 120, "product", Refuse);
        Text(line.Lot, 60, "lot", Refuse);
        Text(line.Device, 120, "device", Refuse);
        if (expiry is null) Refuse("give the expiry date.");
        else if (treatedOn is { } day && expiry < day) Refuse("the product was expired on the day of treatment.");

        var least = toxin ? 0.1m : 0.01m;
        var most = toxin ? MostUnits : MostMl;
        var amount = Number(line.Amount);
        if (product is not null && !(amount >= least && amount <= most && decimal.Round(amount.Value, toxin ? 1 : 2) == amount))
            Refuse(toxin ? "the amount is 0.1 to 100.0 units in steps of 0.1." : "the amount is 0.01 to 20.00 mL in steps of 0.01.");
        if (reasons.Count > before) return null;

        return new PlacementRow
        {
            Ordinal = number, Region = region!.Value, Side = side!.Value, ProductClass = product!.Value, Plane = plane!.Value,
            ProductName = line.ProductName!.Trim(), Lot = line.Lot!.Trim(), Udi = string.IsNullOrWhiteSpace(line.Scan) ? null : line.Scan, Device = line.Device!.Trim(), Expiry = expiry!.Value,
            HundredthsMl = toxin ? null : (int)(amount!.Value * 100), TenthsUnits = toxin ? (int)(amount!.Value * 10) : null,
        };
    }

    private static void Text(string? typed, int most, string what, Action<string> refuse)
    {
        if (string.IsNullOrWhiteSpace(typed)) refuse($"give the {what}.");
        else if (typed.Trim().Length > most) refuse($"the {what} is longer than {most} letters.");
    }

    private static LocalDate? Date(string? typed) =>
        LocalDatePattern.Iso.Parse(typed?.Trim() ?? "") is { Success: true } read ? read.Value : null;

    private static decimal? Number(string? typed) =>
        decimal.TryParse(typed?.Trim().Replace(',', '.'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var number) ? number : null;

    private static T? Choice<T>(string? typed) where T : struct, Enum =>
        Enum.GetNames<T>().Contains(typed) ? Enum.Parse<T>(typed!) : null;
}
