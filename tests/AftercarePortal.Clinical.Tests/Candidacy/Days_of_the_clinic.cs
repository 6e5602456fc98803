using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Testing;
using NodaTime;
using NodaTime.Text;
using Xunit;
using Xunit.Abstractions;

namespace AftercarePortal.Clinical.Tests.Candidacy;

/// <summary>Windows of days, counted beside another calendar (System.DateOnly) and on the dates another program prints for every clock change.</summary>
public sealed class Days_of_the_clinic(ITestOutputHelper output)
{
    private const int Window = 21;

    [Fact]
    [Source("IANA tz database 2025b as printed by zdump", at: "zone_transitions.tsv: local time of every clock change of 23 zones, 2010 to 2030")]
    public void On_both_sides_of_every_clock_change_the_window_counts_from_the_date_on_the_clinics_wall()
    {
        var file = Path.Combine(OpenData.Folder, "time", "zone_transitions.tsv");
        if (!File.Exists(file))
        {
            const string Loud = "NOT CHECKED: time/zone_transitions.tsv is absent. Set AFTERCARE_OPEN_DATA to the open data folder.";
            output.WriteLine(Loud);
            Console.Error.WriteLine(Loud);
            return;
        }

        var (checkedRows, otherDate, newer) = (0, 0, 0);
        foreach (var cells in File.ReadLines(file).Skip(1).Select(l => l.Split('\t')))
        {
            var at = InstantPattern.ExtendedIso.Parse(cells[1]).Value;
            var zone = DateTimeZoneProviders.Tzdb[cells[0]];
            // Our tz data are newer: Morocco's clock changes after 20 September 2026 were given up. There the wall shows another hour.
            if (zone.GetUtcOffset(at).Seconds != int.Parse(cells[5], CultureInfo.InvariantCulture))
            {
                Assert.True(cells[0] == "Africa/Casablanca" && at > Instant.FromUtc(2026, 9, 20, 0, 0), $"{cells[0]} {cells[1]}: another offset than zdump's.");
                newer++;
                continue;
            }

            var wall = DateOnly.Parse(cells[2][..10], CultureInfo.InvariantCulture);
            var today = at.InZone(zone).Date;
            Assert.Equal(wall.ToString("O", CultureInfo.InvariantCulture), LocalDatePattern.Iso.Format(today));
            Assert.Equal(Iso(wall.AddDays(1)), EarliestAfter(wall.AddDays(-(Window - 1)), today));
            Assert.Null(EarliestAfter(wall.AddDays(-Window), today));
            checkedRows++;
            if (cells[2][..10] != cells[1][..10]) otherDate++;
        }

        output.WriteLine($"{checkedRows} moments, {otherDate} of them on another date than in UTC, {newer} under newer rules");
        Assert.InRange(checkedRows, 1300, 1422);
        Assert.InRange(otherDate, 1, checkedRows);
    }

    [Fact]
    [Source("System.DateOnly of .NET, another implementation of the Gregorian calendar", at: "every day of 2023 to 2028, two leap days among them")]
    public void On_every_day_of_six_years_the_window_holds_exactly_its_days()
    {
        for (var day = new DateOnly(2023, 1, 1); day < new DateOnly(2029, 1, 1); day = day.AddDays(1))
        {
            var today = new LocalDate(day.Year, day.Month, day.Day);
            foreach (var ago in (int[])[0, Window - 1]) Assert.Equal(Iso(day.AddDays(Window - ago)), EarliestAfter(day.AddDays(-ago), today));
            Assert.Null(EarliestAfter(day.AddDays(-Window), today));
        }
    }

    [Fact]
    [Source("System.DateOnly of .NET", at: "AddYears, which puts 29 February on 28 February; we take the day after, the later of the two readings")]
    public void The_day_of_coming_of_age_is_the_birthday_and_of_those_born_on_a_leap_day_the_first_of_March()
    {
        for (var birth = new DateOnly(2006, 12, 1); birth < new DateOnly(2009, 4, 1); birth = birth.AddDays(1))
        {
            var turns = birth.AddYears(18);
            if (birth is { Month: 2, Day: 29 }) turns = turns.AddDays(1);
            bool Stops(DateOnly day) => CandidacyContent.Rules.FindingsFor(With("birth-date", Iso(birth)), new(day.Year, day.Month, day.Day)).Stops;
            Assert.True(Stops(turns.AddDays(-1)), $"{birth:O}");
            Assert.False(Stops(turns), $"{birth:O}");
        }
    }

    [Theory]
    [InlineData("9999-12-31")]
    [InlineData("2200-01-01")]
    [InlineData("0001-01-01")]
    [InlineData("-9998-01-01")]
    public void A_date_at_the_end_of_any_calendar_is_doubt_and_crashes_nothing(string day)
    {
        foreach (var question in CandidacyContent.Questionnaire.Questions.Where(q => q.Kind == QuestionKind.Date))
        {
            var told = CandidacyContent.FindingsFor(With(question.LinkId, day), new(2026, 3, 10));
            var unsure = CandidacyContent.FindingsFor(With(question.LinkId, "not-sure"), new(2026, 3, 10));
            Assert.Empty(unsure.All.Select(f => f.RuleId).Except(told.All.Select(f => f.RuleId)));
            Assert.All(told.All, f => Assert.True(f.FromDoubt && f.Earliest is null));
        }
    }

    private static string? EarliestAfter(DateOnly vaccine, LocalDate today)
    {
        var answers = CandidacyContent.AnswersOf(new JsonObject { ["recent"] = new JsonArray("vaccine"), ["vaccine-on"] = Iso(vaccine), ["wish-product"] = new JsonArray("ha-filler"), ["birth-date"] = "1980-01-01" });
        return CandidacyContent.Rules.FindingsFor(answers, today).All.SingleOrDefault(f => f.RuleId == "vaccine-recent")?.Earliest is { } day ? LocalDatePattern.Iso.Format(day) : null;
    }

    private static Answers With(string linkId, string value) => CandidacyContent.AnswersOf(new JsonObject { [linkId] = value });

    private static string Iso(DateOnly day) => day.ToString("O", CultureInfo.InvariantCulture);
}
