using AftercarePortal.Web.Features.Staff;
using Ical.Net;
using Ical.Net.CalendarComponents;
using Ical.Net.DataTypes;
using Ical.Net.Evaluation;
using NodaTime;
using NodaTime.TimeZones;
using Duration = NodaTime.Duration;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Reads shifts from an iCalendar file (RFC 5545). A time without a zone is the clinic's wall clock; a recurring event is followed for a year.</summary>
/// <param name="person">Staff id of whose shifts they are; null: the name in each title says it.</param>
internal sealed class ReadCalendar(DateTimeZone clinic, IReadOnlyList<StaffRow> staff, string? person, Instant now)
{
    /// <summary>Longest file, in characters; most shifts of one file.</summary>
    public const int Longest = 500_000, Most = 1000;

    private static readonly Duration Ahead = Duration.FromDays(366);

    /// <summary>The file's events in order of time; or one sentence of what is wrong with the whole file.</summary>
    public (IReadOnlyList<CalendarLine> Lines, string? Fault) Read(string text)
    {
        if (text.Length > Longest) return ([], "This file is too large for a rota.");
        // From an old beginning it would be counted through to today.
        if (text.Contains("FREQ=SECONDLY", StringComparison.OrdinalIgnoreCase) || text.Contains("FREQ=MINUTELY", StringComparison.OrdinalIgnoreCase)) return ([], "An event of this file repeats every minute or second: no shift does.");
        Calendar? calendar;
        try
        {
            calendar = Calendar.Load(text);
        }
        catch (Exception broken) when (broken is System.Runtime.Serialization.SerializationException or ArgumentException or FormatException or InvalidOperationException or IndexOutOfRangeException or OverflowException or NullReferenceException)
        {
            calendar = null;
        }

        if (calendar is null || !text.Contains("BEGIN:VCALENDAR", StringComparison.OrdinalIgnoreCase)) return ([], "This is not a calendar file: it should begin with BEGIN:VCALENDAR.");
        if (calendar.Events.Count == 0) return ([], "This calendar file holds no events.");
        List<CalendarLine> lines = [.. calendar.Events.SelectMany(Of).Take(Most + 1)];
        if (lines.Count > Most) return ([], $"This calendar file holds more than {Most} shifts.");
        return ([.. lines.OrderBy(l => l.Fault is null).ThenBy(l => l.From)], null);
    }

    private IEnumerable<CalendarLine> Of(CalendarEvent one)
    {
        var title = string.IsNullOrWhiteSpace(one.Summary) ? "an event without a title" : one.Summary.Trim();
        CalendarLine Refuse(string why) => new(title, null, Instant.MinValue, Instant.MinValue, why);
        if (one.Status is "CANCELLED") return [Refuse("It is cancelled.")];
        if (one.Start is not { } start) return [Refuse("It has no beginning (DTSTART).")];
        if (!start.HasTime) return [Refuse("It lasts whole days: a shift needs the times it begins and ends.")];
        if (one.End is null && one.Duration is null) return [Refuse("It has no end (DTEND or DURATION).")];
        foreach (var zone in new[] { start.TzId, one.End?.TzId })
            if (zone is not null && ZoneOf(zone) is null) return [Refuse($"Its time zone is not known here: {zone}.")];
        var (who, whoFault) = WhoOf(one, title);
        if (whoFault is not null) return [Refuse(whoFault)];
        try
        {
            List<CalendarLine> lines = [.. Times(one).Select(t => new CalendarLine(title, who, t.From, t.To, t.To <= t.From ? "It ends before it begins." : t.To <= now ? "It is over already." : null))];
            return lines.Count > 0 ? lines : [Refuse("None of its times lies between now and a year from now.")];
        }
        catch (Exception broken) when (broken is EvaluationException or ArgumentException or InvalidOperationException or OverflowException)
        {
            return [Refuse("Its repetition (RRULE) cannot be followed.")];
        }
    }

    private IEnumerable<(Instant From, Instant To)> Times(CalendarEvent one)
    {
        var once = !one.Properties.ContainsKey("RRULE") && !one.Properties.ContainsKey("RDATE");
        if (once && one.End is { } end) return [(At(one.Start!), At(end))];
        if (once) return one.GetOccurrences().Take(1).Select(o => (At(o.Period.StartTime), At(o.Period.EffectiveEndTime!)));
        return one.GetOccurrences().Select(o => (From: At(o.Period.StartTime), To: At(o.Period.EffectiveEndTime!)))
            .TakeWhile(t => t.From <= now + Ahead).Where(t => t.To > now).Take(Most + 1);
    }

    private (string? Id, string? Fault) WhoOf(CalendarEvent one, string title)
    {
        if (person is not null) return (person, null);
        var named = staff.Where(s => title.Contains(s.FullName, StringComparison.OrdinalIgnoreCase)).ToList();
        return named switch
        {
            [var only] => (only.Id, null),
            [] => (null, "Its title names nobody of your staff."),
            _ => (null, "Its title names more than one of your staff."),
        };
    }

    private Instant At(CalDateTime at)
    {
        var local = LocalDateTime.FromDateTime(at.Value);
        return (at.TzId is { } id ? ZoneOf(id)! : clinic).ResolveLocal(local, Resolvers.LenientResolver).ToInstant();
    }

    // RFC 5545 leaves the names to the writer: the usual ones are IANA's, and those of one system for desks.
    private static DateTimeZone? ZoneOf(string id) =>
        id.ToUpperInvariant() is "UTC" or "Z" or "GMT" ? DateTimeZone.Utc
        : DateTimeZoneProviders.Tzdb.GetZoneOrNull(id)
            ?? (TzdbDateTimeZoneSource.Default.WindowsMapping.PrimaryMapping.TryGetValue(id, out var iana) ? DateTimeZoneProviders.Tzdb.GetZoneOrNull(iana) : null);
}
