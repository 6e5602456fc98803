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

    // A day that never comes (30 February) is looked for so many turns of its rule, eight years of days and a little more; a file's events together take so many steps.
    private const int MostADay = 4, MostSteps = 60_000, MostTurnsWithout = 3_000;
    private static readonly Duration Ahead = Duration.FromDays(366), Oldest = Duration.FromDays(3653);
    private static readonly EvaluationOptions Bound = new() { MaxUnmatchedIncrementsLimit = MostTurnsWithout };
    private int _steps;
    private ILookup<string?, RecurrenceIdentifier> _changed = Array.Empty<CalendarEvent>().ToLookup(e => e.Uid, e => e.RecurrenceIdentifier!);

    /// <summary>The file's events in order of time; or one sentence of what is wrong with the whole file.</summary>
    public (IReadOnlyList<CalendarLine> Lines, string? Fault) Read(string text)
    {
        if (text.Length > Longest) return ([], "This file is too large for a rota.");
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
        _changed = calendar.Events.Where(e => e.RecurrenceIdentifier is not null).ToLookup(e => e.Uid, e => e.RecurrenceIdentifier!);
        List<CalendarLine> lines;
        try
        {
            lines = [.. calendar.Events.SelectMany(Of).Take(Most + 1)];
        }
        catch (TooManySteps)
        {
            return ([], "The events of this file repeat too often to be followed to a year from now.");
        }

        if (lines.Count > Most) return ([], $"This calendar file holds more than {Most} shifts.");
        return ([.. lines.OrderBy(l => l.Fault is null).ThenBy(l => l.From)], null);
    }

    private IEnumerable<CalendarLine> Of(CalendarEvent one)
    {
        var title = string.IsNullOrWhiteSpace(one.Summary) ? "an event without a title" : one.Summary.Trim();
        CalendarLine Refuse(string why) => new(title, null, Instant.MinValue, Instant.MinValue, why);
        if (one.RecurrenceIdentifier is { Range: RecurrenceRange.ThisAndFuture }) return [Refuse("It changes this and every later time of a repeating event, which are all left out: make the later ones an event of their own.")];
        if (one.Status is "CANCELLED") return [Refuse("It is cancelled.")];
        if (one.Start is not { } start) return [Refuse("It has no beginning (DTSTART).")];
        if (!start.HasTime) return [Refuse("It lasts whole days: a shift needs the times it begins and ends.")];
        if (one.End is null && one.Duration is null) return [Refuse("It has no end (DTEND or DURATION).")];
        foreach (var zone in new[] { start.TzId, one.End?.TzId })
            if (zone is not null && ZoneOf(zone) is null) return [Refuse($"Its time zone is not known here: {zone}.")];
        if (TooMuch(one) is { } much) return [Refuse(much)];
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
        if (once) return one.GetOccurrences(null, Bound).Take(1).Select(o => (At(o.Period.StartTime), At(o.Period.EffectiveEndTime!)));
        return one.GetOccurrences(null, Bound).Select(Counted).Where(o => !IsChanged(one, o.Period.StartTime)).Select(o => (From: At(o.Period.StartTime), To: At(o.Period.EffectiveEndTime!)))
            .TakeWhile(t => t.From <= now + Ahead).Where(t => t.To > now).Take(Most + 1);
    }

    // One time of a repeating event that was moved, renamed or cancelled stands in the file as an event of its own, named by the time it had (RFC 5545, RECURRENCE-ID).
    private bool IsChanged(CalendarEvent one, CalDateTime at) =>
        one.RecurrenceIdentifier is null && _changed[one.Uid].Any(was => was.Range is RecurrenceRange.ThisAndFuture ? At(was.StartTime) <= At(at) : was.StartTime.HasTime ? At(was.StartTime) == At(at) : was.StartTime.Date == at.Date);

    // What a rota never needs, and what would be counted through from long ago, occurrence by occurrence. The rule as it was read is asked, not the text: a line may be folded anywhere.
    private string? TooMuch(CalendarEvent one)
    {
        if (one.Properties.Count(p => p.Name is "RRULE") > 1 || one.Properties.ContainsKey("EXRULE")) return "It repeats by more than one rule (RRULE).";
        if (one.RecurrenceRule is not { } rule) return null;
        if (rule.Frequency is FrequencyType.Secondly or FrequencyType.Minutely or FrequencyType.Hourly) return "It repeats within the day: no shift does.";
        if (rule.ByHour.Count > MostADay || rule.ByMinute.Count > 1 || rule.BySecond.Count > 1) return $"It begins more than {MostADay} times a day.";
        return At(one.Start!) < now - Oldest ? "It has repeated for more than ten years: give it a later beginning (DTSTART)." : null;
    }

    private Occurrence Counted(Occurrence one) => ++_steps > MostSteps ? throw new TooManySteps() : one;

    private sealed class TooManySteps : Exception;

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
