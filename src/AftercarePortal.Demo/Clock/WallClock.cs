using System.Globalization;
using NodaTime;

namespace AftercarePortal.Demo.Clock;

/// <summary>Days counted from Mira's treatment, on the clinic's wall clock.</summary>
internal sealed record WallClock(DateTimeZone Zone, LocalDate TreatedOn)
{
    /// <summary>The instant the wall clock shows this; a time that is skipped or comes twice is moved as NodaTime's lenient rule has it.</summary>
    /// <param name="day">0 is the day of treatment.</param>
    public Instant At(int day, LocalTime time) => TreatedOn.PlusDays(day).At(time).InZoneLeniently(Zone).ToInstant();

    public int DayOf(Instant at) => Period.DaysBetween(TreatedOn, at.InZone(Zone).Date);

    /// <summary>For example <c>day 2  23:40</c>.</summary>
    public string Say(Instant at) => $"day {DayOf(at),-2} {at.InZone(Zone).ToString("HH:mm", CultureInfo.InvariantCulture)}";
}
