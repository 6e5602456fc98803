using NodaTime;
using NodaTime.TimeZones;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>Calendar arithmetic of aftercare steps. "Day 3" is three calendar days after treatment, not 72 hours.</summary>
public static class StepTimes
{
    /// <summary>The instant a step is due: so many days after treatment, at a time on the clinic's wall clock.</summary>
    /// <param name="treatedOn">Local date of treatment, day 0.</param>
    /// <param name="day">Days after treatment, 0 or more.</param>
    /// <param name="at">Time on the clinic's wall clock.</param>
    /// <param name="zone">The clinic's time zone (IANA).</param>
    /// <remarks>Clocks forward: a skipped time moves on by the gap. Clocks back: the earlier of the two.</remarks>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="day"/> is negative.</exception>
    public static Instant DueAt(LocalDate treatedOn, int day, LocalTime at, DateTimeZone zone)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(day);
        return treatedOn.PlusDays(day).At(at).InZoneLeniently(zone).ToInstant();
    }

    /// <summary>The first instant at or after <paramref name="notBefore"/> that carries this wall-clock time; a skipped time moves on by the gap.</summary>
    internal static Instant FirstAtOrAfter(LocalDateTime wallClock, DateTimeZone zone, Instant notBefore)
    {
        var earlier = wallClock.InZoneLeniently(zone).ToInstant();
        return earlier >= notBefore ? earlier : wallClock.InZone(zone, Later).ToInstant();
    }

    private static readonly ZoneLocalMappingResolver Later = Resolvers.CreateMappingResolver(Resolvers.ReturnLater, Resolvers.ReturnForwardShifted);
}
