using NodaTime;

namespace AftercarePortal.Clinical.Aftercare;

/// <summary>The part of the day in which no aftercare step is sent. Pages and safety replies know no quiet hours.</summary>
/// <param name="From">Start on the clinic's wall clock, inclusive.</param>
/// <param name="To">End on the clinic's wall clock, exclusive; at or before <paramref name="From"/> means it runs past midnight.
/// The same as <paramref name="From"/>: there are no quiet hours.</param>
public sealed record QuietHours(LocalTime From, LocalTime To)
{
    /// <summary>No quiet hours.</summary>
    public static QuietHours None { get; } = new(LocalTime.Midnight, LocalTime.Midnight);

    /// <summary>Whether a wall-clock time lies in them.</summary>
    public bool Hold(LocalTime time) => From <= To ? From <= time && time < To : From <= time || time < To;

    /// <summary>The same instant outside quiet hours, else their end. Never earlier than <paramref name="due"/>.</summary>
    /// <param name="due">When a step would be sent.</param>
    /// <param name="zone">The clinic's time zone (IANA).</param>
    /// <remarks>Clocks forward: an end that is skipped moves on by the gap. Clocks back: the first end that is not before <paramref name="due"/>.</remarks>
    public Instant MoveOut(Instant due, DateTimeZone zone)
    {
        var local = due.InZone(zone).LocalDateTime;
        if (!Hold(local.TimeOfDay)) return due;
        var endsNextDay = From > To && local.TimeOfDay >= From;
        return StepTimes.FirstAtOrAfter((endsNextDay ? local.Date.PlusDays(1) : local.Date).At(To), zone, due);
    }
}
