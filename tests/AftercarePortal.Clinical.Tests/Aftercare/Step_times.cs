using System.Globalization;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Testing;
using NodaTime;
using NodaTime.Text;
using Xunit;
using Xunit.Abstractions;

namespace AftercarePortal.Clinical.Tests.Aftercare;

public sealed class Step_times(ITestOutputHelper output)
{
    private static DateTimeZone Zone(string id) => DateTimeZoneProviders.Tzdb[id];

    [Fact]
    [Source("IANA tz database, file europe, rule EU", at: "clocks go forward at 01:00 UTC on the last Sunday of March")]
    public void A_time_the_clocks_skip_moves_on_by_the_gap() =>
        Assert.Equal(Instant.FromUtc(2026, 3, 29, 1, 30), StepTimes.DueAt(new(2026, 3, 28), 1, new(1, 30), Zone("Europe/London")));

    [Fact]
    [Source("IANA tz database, file europe, rule EU", at: "clocks go back at 01:00 UTC on the last Sunday of October")]
    public void A_time_that_comes_twice_is_the_earlier() =>
        Assert.Equal(Instant.FromUtc(2026, 10, 25, 0, 30), StepTimes.DueAt(new(2026, 10, 24), 1, new(1, 30), Zone("Europe/London")));

    [Fact]
    [Source("IANA tz database, file northamerica, rule US", at: "forward at 02:00 local on the second Sunday of March")]
    public void Day_one_is_a_calendar_day_even_when_it_has_23_hours() =>
        Assert.Equal(
            Duration.FromHours(23),
            StepTimes.DueAt(new(2026, 3, 7), 1, new(12, 0), Zone("America/New_York")) - StepTimes.DueAt(new(2026, 3, 7), 0, new(12, 0), Zone("America/New_York")));

    [Fact]
    [Source("IANA tz database, file australasia, zone Pacific/Apia", at: "30 December 2011 did not exist")]
    public void A_day_that_does_not_exist_moves_to_the_next() =>
        Assert.Equal(new LocalDateTime(2011, 12, 31, 9, 0), StepTimes.DueAt(new(2011, 12, 29), 1, new(9, 0), Zone("Pacific/Apia")).InZone(Zone("Pacific/Apia")).LocalDateTime);

    [Fact]
    public void A_day_before_treatment_is_a_mistake() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => StepTimes.DueAt(new(2026, 3, 28), -1, new(1, 30), Zone("Europe/London")));

    [Fact]
    [Source("IANA tz database 2025b as printed by zdump", at: "every clock change of 23 zones, 2010 to 2030")]
    public void Around_every_clock_change_a_step_is_due_at_its_wall_time_or_after_the_gap()
    {
        var file = Path.Combine(OpenData.Folder, "time", "zone_transitions.tsv");
        if (!File.Exists(file))
        {
            output.WriteLine("NOT CHECKED: time/zone_transitions.tsv is absent. Set AFTERCARE_OPEN_DATA to the open data folder.");
            Console.Error.WriteLine("NOT CHECKED: time/zone_transitions.tsv is absent. Set AFTERCARE_OPEN_DATA to the open data folder.");
            return;
        }

        var rows = File.ReadLines(file).Skip(1).Select(l => l.Split('\t')).Select(c => (
            Zone: c[0], Utc: InstantPattern.ExtendedIso.Parse(c[1]).Value, Offset: Duration.FromSeconds(int.Parse(c[5], CultureInfo.InvariantCulture)))).ToList();
        var differ = new List<string>();
        var changes = 0;
        for (var i = 0; i + 1 < rows.Count; i += 2)
        {
            var (before, after) = (rows[i], rows[i + 1]);
            Assert.Equal(before.Zone, after.Zone);
            var jump = after.Offset - before.Offset;
            if (jump == Duration.Zero) continue;
            // Rules changed between the two releases: from 20 September 2026 Morocco stays at +00 (tzdb 2026f). Nothing else may be missing.
            if (!Zone(after.Zone).GetZoneIntervals(after.Utc - Duration.Epsilon, after.Utc + Duration.Epsilon).Skip(1).Any())
            {
                Assert.True(after.Zone == "Africa/Casablanca" && after.Utc > Instant.FromUtc(2026, 9, 20, 0, 0), $"{after.Zone} {after.Utc}: no such clock change.");
                continue;
            }

            changes++;
            // Half-way into the gap, or into the stretch that comes twice, worked out from zdump's own offsets.
            var half = Duration.FromSeconds(Math.Abs(jump.TotalSeconds) / 2);
            var (wall, due) = jump > Duration.Zero
                ? ((after.Utc + before.Offset + half).InUtc().LocalDateTime, after.Utc + half)
                : ((after.Utc + after.Offset + half).InUtc().LocalDateTime, after.Utc - half);
            if (StepTimes.DueAt(wall.Date, 0, wall.TimeOfDay, Zone(after.Zone)) != due) differ.Add($"{after.Zone} {after.Utc}");
        }

        output.WriteLine($"{changes} clock changes, {differ.Count} differ: {string.Join(", ", differ.Take(20))}");
        Assert.True(changes > 500, $"Only {changes} clock changes were read.");
        Assert.Empty(differ);
    }
}
