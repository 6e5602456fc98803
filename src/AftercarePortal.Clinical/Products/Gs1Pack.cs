using NodaTime;

namespace AftercarePortal.Clinical.Products;

/// <summary>What the barcode of a pack says, as far as a treatment record needs it.</summary>
/// <param name="Gtin">Fourteen digits, check digit right; null when not on the pack.</param>
/// <param name="Lot">1 to 20 characters; null when not on the pack.</param>
/// <param name="Expiry">Last local date the pack may be used; null when not on the pack.</param>
/// <param name="Serial">1 to 20 characters; null when not on the pack.</param>
/// <remarks>
/// Reads GS1 element strings: as a scanner sends them (separator: group separator, ASCII 29) and as printed, with parentheses.
/// Source: GS1 General Specifications, sections 3 and 7.8 (application identifiers 01, 10, 11, 15, 17, 21, 240, separator), 7.12 (dates), from memory;
/// that AI 01 and 11 need no separator and AI 10 does was read in GS1's list of application identifiers.
/// </remarks>
public sealed record Gs1Pack(string? Gtin, string? Lot, LocalDate? Expiry, string? Serial)
{
    /// <summary>Longest text that is looked at.</summary>
    public const int MostLetters = 200;

    /// <summary>The same in the printed form, for example <c>(01)05412345000013(17)290331(10)ABC123</c>.</summary>
    public string Printed => string.Concat(
        Gtin is null ? "" : $"(01){Gtin}",
        Expiry is { } day ? $"(17){day.Year % 100:00}{day.Month:00}{day.Day:00}" : "",
        Lot is null ? "" : $"(10){Lot}",
        Serial is null ? "" : $"(21){Serial}");

    /// <summary>Reads what was scanned or pasted.</summary>
    /// <param name="scanned">Scanner's text, with or without symbology identifier, or the printed form.</param>
    /// <param name="today">Decides the century of a two-digit year.</param>
    public static Outcome Read(string scanned, LocalDate today)
    {
        if (scanned.Length > MostLetters) return new Outcome.Refused(Gs1Fault.NotGs1);
        if (Gs1Fields.Split(scanned) is not { } fields) return new Outcome.Refused(Gs1Fault.NotGs1);
        var ways = Ways(fields, today, anyDay: false);
        // A day of making that is no day: something was misread, and the lot is not to be trusted either.
        var misread = fields.Unmarked is not null && ways.Count == 0;
        if (misread) ways = Ways(fields, today, anyDay: true);
        // What is too long for a lot may still be a lot and what follows it.
        if (fields.Fault is { } fault) return fault is Gs1Fault.FieldWrong && ways.Count > 0 ? new Outcome.Doubtful(ways) : new Outcome.Refused(fault);
        if (fields["01"] is { } gtin && !Gs1Digits.CheckDigitIsRight(gtin)) return new Outcome.Refused(Gs1Fault.CheckDigitWrong);
        if (fields["17"] is { } expiry && Gs1Digits.Date(expiry, today) is null) return new Outcome.Refused(Gs1Fault.DateWrong);
        return misread && fields["10"] is not null || ways.Select(way => (way.Lot, way.Expiry)).Distinct().Count() > 1 ? new Outcome.Doubtful(ways) : new Outcome.Made(Of(id => fields[id], today));
    }

    private static List<Gs1Pack> Ways(Gs1Fields fields, LocalDate today, bool anyDay) =>
        fields.Unmarked is { } text ? [.. Gs1RunTogether.Ways(text, today, anyDay).Select(way => Of(id => way.GetValueOrDefault(id), today)).Distinct()] : [];

    private static Gs1Pack Of(Func<string, string?> field, LocalDate today) => new(field("01"), field("10"), field("17") is { } digits ? Gs1Digits.Date(digits, today) : null, field("21"));

    /// <summary>What came of reading.</summary>
    public abstract record Outcome
    {
        private Outcome() { }

        /// <summary>Read, with every end marked or only one way to read it.</summary>
        public sealed record Made(Gs1Pack Pack) : Outcome;

        /// <summary>It can be read in more than one way, for the scanner may have dropped the separators, or a day in it is none: the pack's print says which is right.</summary>
        /// <param name="Ways">Every way, the longest values first; never empty.</param>
        public sealed record Doubtful(IReadOnlyList<Gs1Pack> Ways) : Outcome;

        /// <summary>Not read: type it from the pack.</summary>
        public sealed record Refused(Gs1Fault Why) : Outcome;
    }
}
