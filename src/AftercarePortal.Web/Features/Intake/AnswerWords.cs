using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.ContentFiles;
using NodaTime;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Answers and dates as people say them.</summary>
internal static class AnswerWords
{
    /// <summary>For example <c>Not sure</c>, <c>A vaccine; Dental work</c> or <c>3 March 2026</c>.</summary>
    /// <param name="question">In the language of <paramref name="say"/>.</param>
    public static string Of(Question question, Answer answer, PageWords say) => answer switch
    {
        Answer.Given given => string.Join("; ", given.Values.Select(v => OfValue(question, v, say))),
        Answer.NotSure => say["not-sure"],
        _ => say["left-out"],
    };

    /// <summary>An ISO date in words, a range of dates as "between … and …"; anything else as it is.</summary>
    public static string OfDate(string iso, PageWords say) => DayRange.Parse(iso) switch
    {
        null => iso,
        { } range when range.From == range.To => OfDate(range.To, say),
        { } range => say.Say("between", OfDate(range.From, say), OfDate(range.To, say)),
    };

    public static string OfDate(LocalDate day, PageWords say) => say.Say("date", day.Day, say[$"month-{day.Month}"], day.Year);

    public static AnswerState StateOf(Answer answer) => answer switch
    {
        Answer.Given => AnswerState.Answered,
        Answer.NotSure => AnswerState.NotSure,
        _ => AnswerState.Skipped,
    };

    private static string OfValue(Question question, string value, PageWords say) => question.Kind switch
    {
        QuestionKind.YesNo => say[value == "yes" ? "yes" : "no"],
        QuestionKind.Date => OfDate(value, say),
        _ => question.Options.FirstOrDefault(o => o.Code == value)?.Text ?? value,
    };
}
