using System.Globalization;
using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Testing;
using NodaTime;
using NodaTime.Text;
using Xunit;
using Xunit.Abstractions;

namespace AftercarePortal.Clinical.Tests.Aftercare;

/// <summary>Every day of ten years at 09:00, 00:15 and 02:30, against offsets another program printed.</summary>
public sealed class Ten_years_of_wall_times(ITestOutputHelper output)
{
    private static readonly LocalDate First = new(2020, 1, 1), End = new(2030, 1, 1);

    // Rules changed between the two releases: from 20 September 2026 Morocco stays at +00 (tzdb 2026f).
    private static readonly LocalDate MoroccoUntil = new(2026, 9, 19);

    [Theory]
    [InlineData(9, 0)]
    [InlineData(0, 15)]
    [InlineData(2, 30)]
    [Source("IANA tz database 2025b as printed by zdump", at: "every clock change of 18 zones, 2010 to 2030")]
    public void A_step_is_due_when_the_wall_shows_its_time(int hour, int minute)
    {
        var file = Path.Combine(OpenData.Folder, "time", "zone_transitions.tsv");
        if (!File.Exists(file))
        {
            output.WriteLine("NOT CHECKED: time/zone_transitions.tsv is absent. Set AFTERCARE_OPEN_DATA to the open data folder.");
            Console.Error.WriteLine("NOT CHECKED: time/zone_transitions.tsv is absent. Set AFTERCARE_OPEN_DATA to the open data folder.");
            return;
        }

        var at = new LocalTime(hour, minute);
        var (days, skipped, twice) = (0, 0, 0);
        var differ = new List<string>();
        foreach (var zone in File.ReadLines(file).Skip(1).Select(l => l.Split('\t')).GroupBy(c => c[0]))
        {
            var offsets = zone.Select(c => (Utc: InstantPattern.ExtendedIso.Parse(c[1]).Value, Offset: Offset.FromSeconds(int.Parse(c[5], CultureInfo.InvariantCulture)))).OrderBy(o => o.Utc).ToList();
            var ours = DateTimeZoneProviders.Tzdb[zone.Key];
            var end = zone.Key == "Africa/Casablanca" ? MoroccoUntil : End;
            for (var day = First; day < end; day = day.PlusDays(1))
            {
                var wall = day.At(at);
                // Of the offsets in force around that day: which of them make the wall show this time?
                var noon = wall.InUtc().ToInstant();
                var near = offsets.Where(o => o.Utc > noon - Duration.FromDays(2) && o.Utc < noon + Duration.FromDays(2)).Append(offsets.FindLast(o => o.Utc <= noon - Duration.FromDays(2))).Select(o => o.Offset).Distinct();
                var shown = near.Select(o => wall.WithOffset(o).ToInstant()).Where(t => OffsetAt(offsets, t) is var o && t.WithOffset(o).LocalDateTime == wall).Distinct().Order().ToList();
                if (shown.Count == 0) skipped++;
                if (shown.Count == 2) twice++;
                // Skipped: the time moves on by the gap, so the offset from before it counts.
                var due = shown.Count > 0 ? shown[0] : wall.WithOffset(near.Min()).ToInstant();
                if (StepTimes.DueAt(day, 0, at, ours) != due) differ.Add($"{zone.Key} {wall}");
                days++;
            }
        }

        output.WriteLine($"{days} days at {at}: skipped {skipped}, twice {twice}, {differ.Count} differ: {string.Join(", ", differ.Take(20))}");
        Assert.True(days > 60_000, $"Only {days} days were checked.");
        Assert.True(hour != 2 || skipped > 50, $"Only {skipped} days skip that time.");
        Assert.Empty(differ);
    }

    private static Offset OffsetAt(List<(Instant Utc, Offset Offset)> offsets, Instant at) => offsets.FindLast(o => o.Utc <= at).Offset;
}
