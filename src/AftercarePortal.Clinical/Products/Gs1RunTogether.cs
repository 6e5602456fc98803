using NodaTime;

namespace AftercarePortal.Clinical.Products;

/// <summary>Every way an element string can be read from which the scanner may have dropped the separators.</summary>
/// <remarks>
/// A field of no fixed length then ends anywhere a following field may begin, and nothing in the text tells which end is the right one
/// (T. Burton, author of GS1's own barcode engine, in an answer on Stack Overflow, question 75694709, stored copy read).
/// </remarks>
internal static class Gs1RunTogether
{
    /// <summary>All ways, the longest values first; each a value for each field.</summary>
    /// <param name="text">Element string without separators.</param>
    /// <param name="today">Decides the century of a two-digit year.</param>
    /// <param name="anyDay">Days other than the expiry need not be days of the calendar.</param>
    public static IEnumerable<IReadOnlyDictionary<string, string>> Ways(string text, LocalDate today, bool anyDay) => Ways(text, [], null, today, anyDay);

    private static IEnumerable<Dictionary<string, string>> Ways(string text, Dictionary<string, string> before, string? lot, LocalDate today, bool anyDay)
    {
        if (text.Length == 0) return [before];
        var known = Gs1Field.BeginningOf(text) is { } field && !before.ContainsKey(field.Id)
            ? Ends(field, text[field.Id.Length..], today, anyDay).SelectMany(end => Ways(end.After, new(before) { [field.Id] = end.Value }, field.Id == "10" ? end.Value : null, today, anyDay))
            : [];
        return lot is null ? known : known.Concat(Gs1Other.Behind(lot, text, today).SelectMany(other => Ways(other.After, new(before) { [other.Id] = other.Value }, null, today, anyDay)));
    }

    private static IEnumerable<(string Value, string After)> Ends(Gs1Field field, string text, LocalDate today, bool anyDay)
    {
        var (least, most) = field.Digits > 0 ? (field.Digits, field.Digits) : (1, field.Most);
        for (var end = Math.Min(most, text.Length); end >= least; end--)
            if (field.MayHold(text[..end]) && IsPlausible(field, text[..end], today, anyDay)) yield return (text[..end], text[end..]);
    }

    private static bool IsPlausible(Gs1Field field, string value, LocalDate today, bool anyDay) => field.Digits switch
    {
        14 => Gs1Digits.CheckDigitIsRight(value),
        6 => anyDay && field.Id != "17" || Gs1Digits.Date(value, today) is not null,
        _ => true,
    };
}
