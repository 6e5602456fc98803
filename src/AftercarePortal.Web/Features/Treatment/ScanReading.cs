using AftercarePortal.Clinical.Products;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Fills the form's lines from what was scanned and from the line before, and says what does not fit.</summary>
internal static class ScanReading
{
    /// <summary>Changes the lines: an empty lot or expiry is filled; one that was typed stays, and is told of when the barcode says otherwise.</summary>
    public static List<string> Fill(IReadOnlyList<PlacementForm> lines, LocalDate today)
    {
        var reasons = new List<string>();
        for (var i = 1; i < lines.Count; i++)
            if (lines[i].Same && !lines[i].IsBlank) AsBefore(lines[i - 1], lines[i]);
        for (var i = 0; i < lines.Count; i++)
            if (!string.IsNullOrWhiteSpace(lines[i].Scan)) Fill(lines[i], today, reason => reasons.Add($"Placement {i + 1}: {reason}"));
        return reasons;
    }

    private static void AsBefore(PlacementForm before, PlacementForm line)
    {
        static string? Keep(string? typed, string? other) => string.IsNullOrWhiteSpace(typed) ? other : typed;
        if (string.IsNullOrWhiteSpace(line.Scan) && string.IsNullOrWhiteSpace(line.Lot)) (line.Scan, line.Lot, line.Expiry) = (before.Scan, before.Lot, Keep(line.Expiry, before.Expiry));
        (line.Product, line.ProductName) = (Keep(line.Product, before.Product), Keep(line.ProductName, before.ProductName));
        (line.Plane, line.Device) = (Keep(line.Plane, before.Plane), Keep(line.Device, before.Device));
    }

    private static void Fill(PlacementForm line, LocalDate today, Action<string> refuse)
    {
        if (Gs1Pack.Read(line.Scan!, today) is not Gs1Pack.Outcome.Made { Pack: var pack })
        {
            refuse(Words(((Gs1Pack.Outcome.Refused)Gs1Pack.Read(line.Scan!, today)).Why));
            return;
        }

        line.Scan = pack.Printed;
        if (pack.Lot is { } lot)
        {
            if (string.IsNullOrWhiteSpace(line.Lot)) line.Lot = lot;
            else if (LotKey.Of(line.Lot) != LotKey.Of(lot)) refuse("the lot that was typed is not the one in the barcode. Look at the pack; correct one or empty it.");
        }

        if (pack.Expiry is not { } day) return;
        var iso = LocalDatePattern.Iso.Format(day);
        if (string.IsNullOrWhiteSpace(line.Expiry)) line.Expiry = iso;
        else if (line.Expiry.Trim() != iso) refuse("the expiry that was typed is not the one in the barcode. Look at the pack; correct one or empty it.");
        if (day < today) refuse($"this pack expired on {iso}. Do not use it.");
    }

    /// <summary>Why a barcode was not read, for whoever holds the pack.</summary>
    public static string Words(Gs1Fault why) => why switch
    {
        Gs1Fault.CheckDigitWrong => "the barcode was misread: its check digit does not fit. Scan again, or type lot and expiry from the pack.",
        Gs1Fault.DateWrong => "the barcode's expiry is no day of the calendar. Type lot and expiry from the pack.",
        Gs1Fault.SeparatorLost => "the scanner ran lot and expiry together. Type them from the pack.",
        Gs1Fault.FieldTwice => "the barcode names the same thing twice. Type lot and expiry from the pack.",
        Gs1Fault.FieldWrong => "a part of the barcode is too long, too short or misread. Scan again, or type lot and expiry from the pack.",
        _ => "this is no barcode that can be read here. Type lot and expiry from the pack.",
    };
}
