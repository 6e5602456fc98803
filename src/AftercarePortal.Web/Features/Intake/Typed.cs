using System.Globalization;
using System.Text.Json;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.Features.Shared;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>What a person typed or ticked at one question, exactly; kept whether it can be used or not.</summary>
/// <param name="Choices">Codes of the ticked options, <c>yes</c>, <c>no</c> or <see cref="NotSure"/>.</param>
/// <param name="About">How many units ago, as typed.</param>
/// <param name="Unit"><c>days</c>, <c>weeks</c> or <c>months</c>.</param>
/// <param name="SaidOn">The clinic's date it was typed, ISO: "two weeks ago" counts from it.</param>
internal sealed record Typed(IReadOnlyList<string> Choices, string Text, string Day, string Month, string Year, string About = "", string Unit = "", string SaidOn = "")
{
    /// <summary>Value of the choice "not sure".</summary>
    public const string NotSure = "not-sure";

    /// <summary>Longest text a question takes, in UTF-16 units.</summary>
    public const int LongestText = 4000;

    public static Typed Nothing { get; } = new([], "", "", "", "");

    public static Typed From(IFormCollection form, LocalDate today) => new(
        [.. form["choice"].OfType<string>()], LineBreaks.AsOne(form["text"].ToString()), form["day"].ToString(), form["month"].ToString(), form["year"].ToString(),
        form["about"].ToString(), form["unit"].ToString(), LocalDatePattern.Iso.Format(today));

    public static Typed FromJson(string json) => JsonSerializer.Deserialize<Typed>(json)!;

    public string ToJson() => JsonSerializer.Serialize(this);

    /// <summary>The day in its three parts; null: they are no day of the calendar.</summary>
    public LocalDate? AsDay() =>
        Whole(Day, out var day) && Whole(Month, out var month) && Whole(Year, out var year) && year >= DayRange.First.Year && year <= DayRange.Last.Year && month is >= 1 and <= 12
        && day >= 1 && day <= CalendarSystem.Iso.GetDaysInMonth(year, month) ? new LocalDate(year, month, day) : null;

    /// <summary>The answer in it, or the key of the sentence (<c>content/pages</c>) that tells the person what is wrong with it.</summary>
    /// <param name="question">The question that was asked.</param>
    /// <param name="today">The clinic's date: no date of an answer lies after it.</param>
    public (Answer? Answer, string? Problem) ReadAs(Question question, LocalDate today) => question.Kind switch
    {
        QuestionKind.YesNo or QuestionKind.Choice => ReadOne(question),
        QuestionKind.Several => ReadSeveral(question),
        QuestionKind.Date => question.MayBeAbout && About.Trim().Length > 0 ? ReadAbout() : ReadDate(question, today),
        QuestionKind.Number => ReadNumber(),
        _ => Text.Trim() switch
        {
            "" when question.Required => Wrong("wrong-write"),
            "" => (new Answer.Skipped(), null),
            { Length: > LongestText } => Wrong("wrong-long"),
            var text => (new Answer.Given(text), null),
        },
    };

    private (Answer?, string?) ReadOne(Question question) => Choices switch
    {
        [NotSure] when question.MayBeNotSure => (new Answer.NotSure(), null),
        [var code] when IsOffered(question, code) => (new Answer.Given(code), null),
        _ => Wrong("wrong-one"),
    };

    private (Answer?, string?) ReadSeveral(Question question)
    {
        string[] codes = [.. Choices.Distinct()];
        if (codes.Length == 0) return Wrong("wrong-some");
        if (codes.Length > 1 && codes.Any(c => c == NotSure || question.Options.Any(o => o.Code == c && o.StandsAlone)))
            return Wrong("wrong-both");
        if (codes is [NotSure] && question.MayBeNotSure) return (new Answer.NotSure(), null);
        return codes.All(c => IsOffered(question, c)) ? (new Answer.Given(codes), null) : Wrong("wrong-list");
    }

    private (Answer?, string?) ReadDate(Question question, LocalDate today)
    {
        if (!Whole(Day, out var day) || !Whole(Month, out var month) || !Whole(Year, out var year)) return Wrong("wrong-date");
        if (year < 100) return Wrong("wrong-year");
        if (year < DayRange.First.Year || year > DayRange.Last.Year || month is < 1 or > 12 || day < 1 || day > CalendarSystem.Iso.GetDaysInMonth(year, month)) return Wrong("wrong-no-day");
        var date = new LocalDate(year, month, day);
        if (date > today && question.Dates == DateSpan.UpToToday) return Wrong("wrong-to-come");
        // A day that was still to come when it was typed stays as it was.
        if (question.Dates == DateSpan.FromToday && date < (LocalDatePattern.Iso.Parse(SaidOn) is { Success: true } said ? said.Value : today)) return Wrong("wrong-gone");
        return (new Answer.Given(LocalDatePattern.Iso.Format(date)), null);
    }

    private (Answer?, string?) ReadAbout()
    {
        if (Day.Trim().Length > 0 || Year.Trim().Length > 0) return Wrong("wrong-either");
        if (!Whole(About, out var count) || count > DayRange.MostUnits) return Wrong("wrong-count");
        DayRange.Unit? unit = Unit switch { "days" => DayRange.Unit.Days, "weeks" => DayRange.Unit.Weeks, "months" => DayRange.Unit.Months, _ => null };
        if (unit is null || LocalDatePattern.Iso.Parse(SaidOn) is not { Success: true } said) return Wrong("wrong-unit");
        return (new Answer.Given(DayRange.About(count, unit.Value, said.Value).ToString()), null);
    }

    private (Answer?, string?) ReadNumber() =>
        decimal.TryParse(Text.Trim().Replace(',', '.'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var number)
            ? (new Answer.Given(number.ToString(CultureInfo.InvariantCulture)), null)
            : Wrong("wrong-number");

    private static bool Whole(string typed, out int number) => int.TryParse(typed.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out number);

    private static bool IsOffered(Question question, string code) =>
        question.Kind == QuestionKind.YesNo ? code is "yes" or "no" : question.Offers(code);

    private static (Answer?, string?) Wrong(string problem) => (null, problem);
}
