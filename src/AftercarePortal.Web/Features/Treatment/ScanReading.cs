using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Features.Shared;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Fills the form's lines from what was scanned and from the line before, and says what does not fit.</summary>
internal static class ScanReading
{
    private const int MostShown = 4;

    /// <summary>Changes the lines: an empty lot or expiry is filled; one that was typed stays, and is told of when the barcode says otherwise.</summary>
    /// <param name="on">Day of treatment, which may be past: by it a pack is judged.</param>
    public static List<string> Fill(IReadOnlyList<PlacementForm> lines, LocalDate on)
    {
        var reasons = new List<string>();
        for (var i = 1; i < lines.Count; i++)
            if (lines[i].Same && !lines[i].IsBlank) AsBefore(lines[i - 1], lines[i], on);
        for (var i = 0; i < lines.Count; i++)
            if (!string.IsNullOrWhiteSpace(lines[i].Scan)) Fill(lines[i], on, reason => reasons.Add($"Placement {i + 1}: {reason}"));
        return reasons;
    }

    // The pack of the line before belongs to this one only when it is of the same class, and class and name only when this line's own pack is the same product:
    // where nothing says so they are left empty, and asked for.
    private static void AsBefore(PlacementForm before, PlacementForm line, LocalDate on)
    {
        static string? Keep(string? typed, string? other) => string.IsNullOrWhiteSpace(typed) ? other : typed;
        (line.Plane, line.Device) = (Keep(line.Plane, before.Plane), Keep(line.Device, before.Device));
        if (!string.IsNullOrWhiteSpace(line.Product) && !string.Equals(line.Product.Trim(), before.Product?.Trim(), StringComparison.Ordinal)) return;
        if (string.IsNullOrWhiteSpace(line.Scan) && string.IsNullOrWhiteSpace(line.Lot)) (line.Scan, line.Lot, line.Expiry) = (before.Scan, before.Lot, Keep(line.Expiry, before.Expiry));
        else if (Gtin(line, on) is { } own && own != Gtin(before, on)) return;
        (line.Product, line.ProductName) = (Keep(line.Product, before.Product), Keep(line.ProductName, before.ProductName));
    }

    private static string? Gtin(PlacementForm line, LocalDate on) => string.IsNullOrWhiteSpace(line.Scan) ? null : Gs1Pack.Read(line.Scan, on) switch
    {
        Gs1Pack.Outcome.Made made => made.Pack.Gtin,
        Gs1Pack.Outcome.Doubtful doubtful => doubtful.Ways[0].Gtin,
        _ => null,
    };

    private static void Fill(PlacementForm line, LocalDate on, Action<string> refuse)
    {
        switch (Gs1Pack.Read(line.Scan!, on))
        {
            case Gs1Pack.Outcome.Made made: Fill(line, made.Pack, on, refuse); break;
            case Gs1Pack.Outcome.Doubtful doubtful: Compare(line, doubtful.Ways, on, refuse); break;
            case Gs1Pack.Outcome.Refused refused: refuse(Words(refused.Why)); break;
        }
    }

    // Which way is right only the pack's print says. The lot is left to be typed from there, and settles it; until then the scan stays as it came.
    private static void Compare(PlacementForm line, IReadOnlyList<Gs1Pack> ways, LocalDate on, Action<string> refuse)
    {
        List<Gs1Pack> fit = [.. ways.Where(way => way.Lot is null || LotKey.Of(way.Lot) == LotKey.Of(line.Lot ?? ""))];
        if (fit.Exists(way => way.Lot is not null)) fit.RemoveAll(way => way.Lot is null);
        if (ReadTyped.Date(line.Expiry) is { } typed && fit.Exists(way => way.Expiry == typed)) fit.RemoveAll(way => way.Expiry != typed);
        if (string.IsNullOrWhiteSpace(line.Lot)) refuse(RunTogether(ways));
        else if (fit.Count == 0) refuse($"the lot that was typed is in no reading of the barcode ({Lots(ways)}): look again at the pack, and correct the lot or empty the barcode.");
        var settled = string.IsNullOrWhiteSpace(line.Lot) || fit.Count == 0 ? ways : fit;
        List<LocalDate> days = [.. settled.Select(way => way.Expiry).OfType<LocalDate>().Distinct()];
        if (settled.Count == 1) Fill(line, settled[0], on, refuse);
        else if (days.Count == 1 && settled.All(way => way.Expiry is not null)) Fill(line, days[0], on, refuse);
        // An expiry that is in no reading contradicts each of them: it is told of by the latest, which is past only when all are.
        else if (days.Count > 0 && !string.IsNullOrWhiteSpace(line.Expiry) && !(ReadTyped.Date(line.Expiry) is { } day && days.Contains(day))) Fill(line, days.Max(), on, refuse);
    }

    /// <summary>Asks to look at the pack, for its barcode can be read in more than one way.</summary>
    public static string RunTogether(IReadOnlyList<Gs1Pack> ways) =>
        "the scanner may have run the lot and what follows it together (serial number, expiry, catalogue number): "
        + $"the lot may be {Lots(ways)}. Compare with the pack and type the lot as it is printed there.";

    private static string Lots(IReadOnlyList<Gs1Pack> ways) =>
        string.Join(" or ", ways.Select(way => way.Lot).OfType<string>().Distinct().Take(MostShown).DefaultIfEmpty("in what was read as the serial number"));

    private static void Fill(PlacementForm line, Gs1Pack pack, LocalDate on, Action<string> refuse)
    {
        line.Scan = pack.Printed;
        if (pack.Lot is { } lot)
        {
            if (string.IsNullOrWhiteSpace(line.Lot)) line.Lot = lot;
            else if (LotKey.Of(line.Lot) != LotKey.Of(lot)) refuse("the lot that was typed is not the one in the barcode. Look at the pack; correct one or empty it.");
        }

        Fill(line, pack.Expiry, on, refuse);
    }

    private static void Fill(PlacementForm line, LocalDate? expiry, LocalDate on, Action<string> refuse)
    {
        if (expiry is not { } day) return;
        var iso = LocalDatePattern.Iso.Format(day);
        if (string.IsNullOrWhiteSpace(line.Expiry)) line.Expiry = iso;
        else if (line.Expiry.Trim() != iso) refuse("the expiry that was typed is not the one in the barcode. Look at the pack; correct one or empty it.");
        if (day < on) refuse($"this pack expired on {Plain.Day(day)}, before the day of treatment. Do not use it.");
    }

    /// <summary>Why a barcode was not read, for whoever holds the pack.</summary>
    public static string Words(Gs1Fault why) => why switch
    {
        Gs1Fault.CheckDigitWrong => "the barcode was misread: its check digit does not fit. Scan again, or type lot and expiry from the pack.",
        Gs1Fault.DateWrong => "the barcode's expiry is no day of the calendar. Type lot and expiry from the pack.",
        Gs1Fault.FieldTwice => "the barcode names the same thing twice. Type lot and expiry from the pack.",
        Gs1Fault.FieldWrong => "a part of the barcode is too long, too short or misread. Scan again, or type lot and expiry from the pack.",
        _ => "this is no barcode that can be read here. Type lot and expiry from the pack.",
    };
}
