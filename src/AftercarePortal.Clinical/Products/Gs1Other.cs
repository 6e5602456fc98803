using NodaTime;

namespace AftercarePortal.Clinical.Products;

/// <summary>An application identifier that is not read here, but may have run into a lot from which the scanner dropped the separator.</summary>
/// <param name="Id">Two to four digits before the value.</param>
/// <param name="Least">Shortest value.</param>
/// <param name="Most">Longest value.</param>
/// <param name="DigitsOnly">The value is digits alone.</param>
/// <param name="IsDated">The value begins with a date, YYMMDD.</param>
/// <remarks>Those that packs in health care carry (GS1 General Specifications, section 3, from memory).</remarks>
internal sealed record Gs1Other(string Id, int Least, int Most, bool DigitsOnly = false, bool IsDated = false)
{
    // Two digits stand in many a lot by chance: what is left before them must be long enough for a lot (judgement, no source).
    private const int ShortestLot = 3;

    private static readonly Gs1Other[] All =
    [
        new("30", 1, 8, DigitsOnly: true), new("37", 1, 8, DigitsOnly: true), new("241", 1, 30), new("250", 1, 30), new("251", 1, 30),
        .. Enumerable.Range(91, 9).Select(id => new Gs1Other($"{id}", 1, 90)), .. Enumerable.Range(710, 7).Select(id => new Gs1Other($"{id}", 1, 20)),
        new("7003", 10, 10, DigitsOnly: true, IsDated: true), new("8008", 8, 12, DigitsOnly: true, IsDated: true),
    ];

    /// <summary>Every way one of them may stand behind a lot: its value, up to the end of the text or to an expiry, and what comes after.</summary>
    public static IEnumerable<(string Id, string Value, string After)> Behind(string lot, string text, LocalDate today) =>
        from other in All
        where text.StartsWith(other.Id, StringComparison.Ordinal) && (other.Id.Length > 2 || lot.Length >= ShortestLot)
        let rest = text[other.Id.Length..]
        from end in Enumerable.Range(other.Least, Math.Max(0, Math.Min(other.Most, rest.Length) - other.Least + 1)).Reverse()
        where other.MayBe(rest[..end], today) && (end == rest.Length || IsExpiry(rest[end..], today))
        select (other.Id, rest[..end], rest[end..]);

    private bool MayBe(string value, LocalDate today) =>
        (DigitsOnly ? value.All(char.IsAsciiDigit) : value.All(Gs1Field.MayStand)) && (!IsDated || Gs1Digits.Date(value[..6], today) is not null);

    private static bool IsExpiry(string text, LocalDate today) =>
        text.Length >= 8 && text.StartsWith("17", StringComparison.Ordinal) && text[2..8].All(char.IsAsciiDigit) && Gs1Digits.Date(text[2..8], today) is not null;
}
