using System.Globalization;
using AftercarePortal.Clinical.Intake;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Answers and dates as people say them.</summary>
internal static class AnswerWords
{
    private static readonly LocalDatePattern InWords = LocalDatePattern.Create("d MMMM uuuu", CultureInfo.InvariantCulture);

    /// <summary>For example <c>Not sure</c>, <c>A vaccine; Dental work</c> or <c>3 March 2026</c>.</summary>
    public static string Of(Question question, Answer answer) => answer switch
    {
        Answer.Given given => string.Join("; ", given.Values.Select(v => OfValue(question, v))),
        Answer.NotSure => "Not sure",
        _ => "Left out",
    };

    /// <summary>An ISO date in words, a range of dates as "between … and …"; anything else as it is.</summary>
    public static string OfDate(string iso) => DayRange.Parse(iso) switch
    {
        null => iso,
        { } range when range.From == range.To => InWords.Format(range.To),
        { } range => $"between {InWords.Format(range.From)} and {InWords.Format(range.To)}",
    };

    public static AnswerState StateOf(Answer answer) => answer switch
    {
        Answer.Given => AnswerState.Answered,
        Answer.NotSure => AnswerState.NotSure,
        _ => AnswerState.Skipped,
    };

    private static string OfValue(Question question, string value) => question.Kind switch
    {
        QuestionKind.YesNo => value == "yes" ? "Yes" : "No",
        QuestionKind.Date => OfDate(value),
        _ => question.Options.FirstOrDefault(o => o.Code == value)?.Text ?? value,
    };
}
