using NodaTime;

namespace AftercarePortal.Clinical.Products;

/// <summary>The sums of GS1 numbers and dates.</summary>
internal static class Gs1Digits
{
    /// <summary>Whether the last digit of a GTIN fits the others: weights 3 and 1 from the right (GS1 General Specifications, check digit calculations, from memory).</summary>
    public static bool CheckDigitIsRight(string gtin)
    {
        var sum = 0;
        for (var i = 0; i < gtin.Length; i++) sum += (gtin[^(i + 1)] - '0') * (i % 2 == 0 ? 1 : 3);
        return sum % 10 == 0;
    }

    /// <summary>Six digits YYMMDD as a date, or null. Day 00 is the last day of the month.</summary>
    /// <remarks>Century (GS1 General Specifications 7.12, from memory): the year lies at most 49 years back and 50 ahead of this one.</remarks>
    public static LocalDate? Date(string digits, LocalDate today)
    {
        var (yy, month, day) = (int.Parse(digits[..2]), int.Parse(digits[2..4]), int.Parse(digits[4..]));
        var ahead = yy - today.Year % 100;
        var year = today.Year + (ahead > 50 ? ahead - 100 : ahead < -49 ? ahead + 100 : ahead);
        if (month is < 1 or > 12) return null;
        var last = CalendarSystem.Iso.GetDaysInMonth(year, month);
        return day > last ? null : new LocalDate(year, month, day == 0 ? last : day);
    }
}
