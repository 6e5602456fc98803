using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Testing;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Aftercare;

public sealed class Quiet_hours
{
    private static readonly DateTimeZone London = DateTimeZoneProviders.Tzdb["Europe/London"];
    private static readonly QuietHours Night = new(new(21, 0), new(8, 0));

    [Theory]
    [InlineData(20, 59, 1, 20, 59)]
    [InlineData(21, 0, 2, 8, 0)]
    [InlineData(23, 40, 2, 8, 0)]
    [InlineData(0, 0, 1, 8, 0)]
    [InlineData(7, 59, 1, 8, 0)]
    [InlineData(8, 0, 1, 8, 0)]
    public void Move_a_step_to_their_end(int hour, int minute, int day, int toHour, int toMinute) =>
        Assert.Equal(new LocalDateTime(2026, 1, day, toHour, toMinute), Moved(Night, new(2026, 1, 1, hour, minute)));

    [Fact]
    public void May_lie_within_one_day() =>
        Assert.Equal(new LocalDateTime(2026, 1, 1, 15, 0), Moved(new(new(13, 0), new(15, 0)), new(2026, 1, 1, 13, 30)));

    [Fact]
    public void May_be_none() =>
        Assert.Equal(new LocalDateTime(2026, 1, 1, 0, 0), Moved(QuietHours.None, new(2026, 1, 1, 0, 0)));

    [Fact]
    [Source("IANA tz database, file europe, rule EU", at: "clocks go forward at 01:00 UTC on the last Sunday of March")]
    public void End_after_the_gap_when_the_clocks_skip_their_end() =>
        Assert.Equal(Instant.FromUtc(2026, 3, 29, 1, 30), new QuietHours(new(21, 0), new(1, 30)).MoveOut(Instant.FromUtc(2026, 3, 28, 22, 0), London));

    [Fact]
    [Source("IANA tz database, file europe, rule EU", at: "clocks go back at 01:00 UTC on the last Sunday of October")]
    public void Never_move_a_step_back_in_time_when_their_end_comes_twice()
    {
        var secondTenPastOne = Instant.FromUtc(2026, 10, 25, 1, 10);
        Assert.Equal(Instant.FromUtc(2026, 10, 25, 1, 30), new QuietHours(new(21, 0), new(1, 30)).MoveOut(secondTenPastOne, London));
    }

    [Theory]
    [InlineData("Europe/London")]
    [InlineData("America/New_York")]
    [InlineData("Australia/Lord_Howe")]
    [InlineData("Africa/Casablanca")]
    public void Never_move_a_step_back_at_any_quarter_hour_of_a_year(string id)
    {
        var zone = DateTimeZoneProviders.Tzdb[id];
        for (var due = Instant.FromUtc(2026, 1, 1, 0, 0); due < Instant.FromUtc(2027, 1, 1, 0, 0); due += Duration.FromMinutes(15))
        {
            var moved = Night.MoveOut(due, zone);
            Assert.True(moved >= due && !Night.Hold(moved.InZone(zone).TimeOfDay), $"{id} {due}");
        }
    }

    private static LocalDateTime Moved(QuietHours quiet, LocalDateTime at) =>
        quiet.MoveOut(at.InZoneLeniently(London).ToInstant(), London).InZone(London).LocalDateTime;
}
