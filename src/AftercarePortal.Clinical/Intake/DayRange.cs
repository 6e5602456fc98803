using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Clinical.Intake;

/// <summary>A day, or a range of days a person is not sure within; written as an ISO 8601 date or interval, <c>2026-02-20/2026-03-03</c>.</summary>
/// <param name="From">The earliest day it can have been.</param>
/// <param name="To">The latest day it can have been, on or after <paramref name="From"/>. For a waiting time this one counts.</param>
public readonly record struct DayRange(LocalDate From, LocalDate To)
{
    /// <summary>Units of "about n … ago".</summary>
    public enum Unit { Days, Weeks, Months }

    /// <summary>Longest "about n … ago" that is taken; beyond it a person is asked for a day.</summary>
    public const int MostUnits = 120;

    /// <summary>First day that counts as an answer: before it nobody alive was born.</summary>
    public static LocalDate First { get; } = new(1880, 1, 1);

    /// <summary>Last day that counts as an answer; far beyond any visit, and far from where a calendar ends.</summary>
    public static LocalDate Last { get; } = new(2199, 12, 31);

    /// <summary>Reads a date or an interval of two dates; null when it is neither, or lies outside <see cref="First"/> to <see cref="Last"/>.</summary>
    public static DayRange? Parse(string text)
    {
        var slash = text.IndexOf('/', StringComparison.Ordinal);
        var from = LocalDatePattern.Iso.Parse(slash < 0 ? text : text[..slash]);
        var to = slash < 0 ? from : LocalDatePattern.Iso.Parse(text[(slash + 1)..]);
        return from.Success && to.Success && from.Value <= to.Value && from.Value >= First && to.Value <= Last ? new(from.Value, to.Value) : null;
    }

    /// <summary>What "about n days, weeks or months ago" may mean: half a unit more or less, at least a day, and never after today.</summary>
    /// <param name="count">0 .. <see cref="MostUnits"/>.</param>
    /// <param name="unit">What was counted.</param>
    /// <param name="today">The day it was said, on the clinic's calendar.</param>
    /// <remarks>Half a unit, rounded up (1, 4 or 16 days): a person who says two weeks means nearer to two than to one or three. Judgement, no source.</remarks>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="count"/> is out of range.</exception>
    public static DayRange About(int count, Unit unit, LocalDate today)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(count);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(count, MostUnits);
        var (middle, half) = unit switch
        {
            Unit.Days => (today.PlusDays(-count), 1),
            Unit.Weeks => (today.PlusWeeks(-count), 4),
            _ => (today.PlusMonths(-count), 16),
        };
        return new(middle.PlusDays(-half), LocalDate.Min(middle.PlusDays(half), today));
    }

    /// <summary>ISO 8601: one date when both days are the same, else an interval.</summary>
    public override string ToString() =>
        From == To ? LocalDatePattern.Iso.Format(To) : $"{LocalDatePattern.Iso.Format(From)}/{LocalDatePattern.Iso.Format(To)}";
}
