using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Staff;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Rota;

/// <summary>Reads calendar files as of 1 September 1997, the time of RFC 5545's own examples, for a clinic in New York.</summary>
public sealed class Calendar_file
{
    private static readonly DateTimeZone NewYork = DateTimeZoneProviders.Tzdb["America/New_York"];
    private static readonly StaffRow[] Staff = [Of("iris", "Iris Hale"), Of("tomas", "Tomas Reed")];

    [Fact]
    [Source("RFC 5545", at: "3.8.5.3, daily for 10 occurrences: September 2-11, 9:00 AM EDT")]
    public void Follows_daily_for_ten_occurrences()
    {
        var lines = Good("DTSTART;TZID=America/New_York:19970902T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY;COUNT=10");
        Assert.Equal(Enumerable.Range(2, 10).Select(day => Instant.FromUtc(1997, 9, day, 13, 0)), lines.Select(l => l.From));
    }

    [Fact]
    [Source("RFC 5545", at: "3.8.5.3, daily until December 24, 1997: 9:00 AM EDT to October 25, 9:00 AM EST from October 26")]
    public void Follows_daily_over_the_night_the_clocks_go_back()
    {
        var lines = Good("DTSTART;TZID=America/New_York:19970902T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY;UNTIL=19971224T000000Z");
        Assert.Equal(113, lines.Count);
        Assert.All(lines, l => Assert.Equal(l.From < Instant.FromUtc(1997, 10, 26, 6, 0) ? 13 : 14, l.From.InUtc().Hour));
        Assert.Equal((Instant.FromUtc(1997, 10, 25, 13, 0), Instant.FromUtc(1997, 10, 26, 14, 0)), (lines[53].From, lines[54].From));
    }

    [Fact]
    [Source("RFC 5545", at: "3.8.5.3, weekly on Tuesday and Thursday for five weeks: September 2,4,9,11,16,18,23,25,30; October 2")]
    public void Follows_weekly_on_two_days()
    {
        var lines = Good("DTSTART;TZID=America/New_York:19970902T090000\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH");
        Assert.Equal(["9-2", "9-4", "9-9", "9-11", "9-16", "9-18", "9-23", "9-25", "9-30", "10-2"], lines.Select(l => l.From.InZone(NewYork)).Select(t => $"{t.Month}-{t.Day}"));
    }

    [Fact]
    [Source("RFC 5545", at: "4, first example: Networld+Interop Conference, September 18 16:00 UTC to 20 22:00 UTC, 1996 (here the year after)")]
    public void Reads_times_in_UTC()
    {
        var line = Assert.Single(Good("DTSTART:19970918T143000Z\nDTEND:19970920T220000Z"));
        Assert.Equal((Instant.FromUtc(1997, 9, 18, 14, 30), Instant.FromUtc(1997, 9, 20, 22, 0)), (line.From, line.To));
    }

    [Fact]
    [Source("RFC 5545", at: "3.3.5, form 1: a local time without a zone is the same wall-clock time wherever it is read")]
    public void Takes_a_time_without_a_zone_as_the_clinics_wall_clock() =>
        Assert.Equal(Instant.FromUtc(1997, 9, 19, 0, 0), Assert.Single(Good("DTSTART:19970918T200000\nDTEND:19970919T080000")).From);

    [Fact]
    [Source("RFC 5545", at: "3.8.5.3: with DTEND the same exact duration applies to all members")]
    public void A_shift_of_twelve_hours_by_DTEND_stays_twelve_hours_on_the_night_the_clocks_go_back()
    {
        var lines = Good("DTSTART;TZID=America/New_York:19971024T200000\nDTEND;TZID=America/New_York:19971025T080000\nRRULE:FREQ=DAILY;COUNT=3");
        Assert.All(lines, l => Assert.Equal(Duration.FromHours(12), l.To - l.From));
        Assert.Equal(3, lines.Count);
    }

    [Fact]
    [Source("RFC 5545", at: "3.8.5.1, EXDATE takes members out of the set")]
    public void Leaves_out_what_the_file_takes_out() =>
        Assert.Equal(2, Good("DTSTART;TZID=America/New_York:19970902T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY;COUNT=3\nEXDATE;TZID=America/New_York:19970903T090000").Count);

    [Theory]
    [Source("RFC 5545", at: "3.8.4.4, RECURRENCE-ID names one member of a recurring event, by the time it had, that the event it stands in replaces")]
    [InlineData("RECURRENCE-ID;TZID=America/New_York:19970903T090000\nDTSTART;TZID=America/New_York:19970903T200000\nDURATION:PT1H", "2 09, 3 20, 4 09")]
    [InlineData("RECURRENCE-ID:19970903T130000Z\nDTSTART:19970904T000000Z\nDURATION:PT1H", "2 09, 3 20, 4 09")]
    [InlineData("RECURRENCE-ID;TZID=America/New_York:19970903T090000\nDTSTART;TZID=America/New_York:19970903T090000\nDURATION:PT1H\nSTATUS:CANCELLED", "2 09, 4 09")]
    [InlineData("RECURRENCE-ID;RANGE=THISANDFUTURE;TZID=America/New_York:19970903T090000\nDTSTART;TZID=America/New_York:19970903T200000\nDURATION:PT1H", "2 09")]
    public void One_time_that_was_moved_or_cancelled_takes_the_place_of_the_one_it_was(string change, string days)
    {
        var weekly = "DTSTART;TZID=America/New_York:19970902T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY;COUNT=3";
        var (lines, _) = Read($"{weekly}\nEND:VEVENT\nBEGIN:VEVENT\nUID:1@test\nDTSTAMP:19970901T130000Z\nSUMMARY:on call\n{change}");
        Assert.Equal(days, string.Join(", ", lines.Where(l => l.Fault is null).Select(l => l.From.InZone(NewYork)).Select(t => $"{t.Day} {t.Hour:00}")));
        Assert.Equal(days.Length < 14, lines.Any(l => l.Fault is not null));
    }

    [Fact]
    public void Finds_the_person_in_the_title() =>
        Assert.Equal("tomas", Assert.Single(Read("DTSTART:19970918T143000Z\nDTEND:19970920T220000Z", "On call: tomas reed", person: null).Lines).Person);

    [Theory]
    [InlineData("DTSTART;VALUE=DATE:19970902\nDTEND;VALUE=DATE:19970903", "whole days")]
    [InlineData("DTSTART:19970918T143000Z", "no end")]
    [InlineData("DTSTART:19970918T143000Z\nDTEND:19970917T143000Z", "ends before it begins")]
    [InlineData("DTSTART:19960918T143000Z\nDTEND:19960919T143000Z", "over already")]
    [InlineData("DTSTART;TZID=Moon/Base:19970918T143000\nDTEND;TZID=Moon/Base:19970918T153000", "time zone is not known")]
    [InlineData("DTSTART:19970918T143000Z\nDTEND:19970918T153000Z\nSTATUS:CANCELLED", "cancelled")]
    [InlineData("DTSTART:00010101T000000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY", "ten years")]
    [InlineData("DTSTART:00010101T000000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY;BYHOUR=1,2,3,4,5,6,7,8;BYMINUTE=0,1,2,3,4;BYSECOND=0,1,2,3", "times a day")]
    [InlineData("DTSTART:19970902T090000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY;BYMINUTE=0,30", "times a day")]
    [InlineData("DTSTART:19970902T090000Z\nDURATION:PT1H\nRRULE:FREQ=SEC\n ONDLY", "within the day")]
    [InlineData("DTSTART:19970902T090000Z\nDURATION:PT1H\nRRULE:FREQ=HOURLY", "within the day")]
    [InlineData("DTSTART:19970902T090000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY\nRRULE:FREQ=MINUTELY", "more than one rule")]
    [InlineData("DTSTART:19970902T090000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30", "cannot be followed")]
    public void Says_why_an_event_becomes_no_shift(string lines, string why) => Assert.Contains(why, Assert.Single(Read(lines).Lines).Fault);

    [Fact]
    public void That_would_take_very_many_steps_is_refused_whole()
    {
        var events = string.Concat(Enumerable.Range(0, 400).Select(i => $"BEGIN:VEVENT\r\nUID:{i}\r\nSUMMARY:Iris Hale\r\nDTSTART:19880101T090000Z\r\nDURATION:PT1H\r\nRRULE:FREQ=DAILY;UNTIL=19970801T000000Z\r\nEND:VEVENT\r\n"));
        Assert.Contains("too often", Reader().Read($"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n{events}END:VCALENDAR\r\n").Fault, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("Vera Moss", "names nobody")]
    [InlineData("Iris Hale and Tomas Reed", "more than one")]
    public void Says_whom_it_does_not_find(string title, string why) =>
        Assert.Contains(why, Assert.Single(Read("DTSTART:19970918T143000Z\nDTEND:19970920T220000Z", title, person: null).Lines).Fault);

    [Theory]
    [InlineData("")]
    [InlineData("hello")]
    [InlineData("<html></html>")]
    [InlineData("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n")]
    [InlineData("BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nDTSTART:nonsense\r\n")]
    public void Says_what_is_wrong_with_a_file_that_is_none(string text)
    {
        var (lines, fault) = Reader().Read(text);
        Assert.True(fault is not null || lines.All(l => l.Fault is not null));
    }

    [Fact]
    public void What_the_feed_writes_is_read_back_the_same()
    {
        var (one, two) = (Instant.FromUtc(1997, 10, 26, 0, 0), Instant.FromUtc(1997, 10, 26, 13, 0));
        var shift = new ShiftRow { Person = "iris", Number = "+12025550110", From = one, To = two, Order = 1 };
        var text = WriteCalendar.Of([shift], "Wrenfold; Clinic, \"north\"", new(Staff.ToDictionary(s => s.Id, s => s.FullName)), withNames: true, one);
        Assert.StartsWith("BEGIN:VCALENDAR\r\n", text);
        Assert.DoesNotContain("2025550110", text);
        Assert.All(text.Split("\r\n"), line => Assert.True(System.Text.Encoding.UTF8.GetByteCount(line) <= 75, line));      // RFC 5545, 3.1
        var line = Assert.Single(Reader(person: null).Read(text).Lines);
        Assert.Equal(("iris", one, two, null), (line.Person, line.From, line.To, line.Fault));
    }

    private static List<CalendarLine> Good(string lines)
    {
        var (read, fault) = Read(lines);
        Assert.Null(fault);
        Assert.All(read, l => Assert.Null(l.Fault));
        return [.. read];
    }

    private static (IReadOnlyList<CalendarLine> Lines, string? Fault) Read(string lines, string title = "on call", string? person = "iris") =>
        Reader(person).Read($"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//EN\nBEGIN:VEVENT\nUID:1@test\nDTSTAMP:19970901T130000Z\nSUMMARY:{title}\n{lines}\nEND:VEVENT\nEND:VCALENDAR\n".Replace("\n", "\r\n"));

    private static ReadCalendar Reader(string? person = "iris") => new(NewYork, Staff, person, Instant.FromUtc(1997, 9, 1, 0, 0));

    private static StaffRow Of(string id, string name) => new() { Id = id, ClinicId = Guid.Empty, FullName = name, PageNumber = "+12025550110", Role = StaffRole.Clinician };
}
