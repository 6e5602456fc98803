using System.Text.Json;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>What went into a range: only the answers a price depends on, and what an examination found.</summary>
/// <param name="On">The clinic's date, ISO; ages count to it.</param>
/// <param name="Answers">By linkId.</param>
/// <param name="Exam">Null before there was an examination.</param>
internal sealed record QuoteInputs(string On, IReadOnlyDictionary<string, QuoteInputs.Said> Answers, ExamFindings? Exam)
{
    /// <summary>Who was to treat; null when nobody was named.</summary>
    public string? Injector { get; init; }

    private static readonly string[] LinkIds = [.. PriceWords.LinkIds, "wish-regions"];

    /// <summary>One answer: values when it was given.</summary>
    internal sealed record Said(AnswerState State, IReadOnlyList<string> Values);

    public static QuoteInputs Of(Answers answers, LocalDate on, ExamFindings? exam) => new(
        LocalDatePattern.Iso.Format(on),
        LinkIds.Where(answers.ByLinkId.ContainsKey).ToDictionary(id => id, id => new Said(AnswerWords.StateOf(answers[id]), answers.ValuesOf(id))), exam);

    /// <summary>The answers again.</summary>
    public Answers Given() => new(Answers.ToDictionary(a => a.Key, Answer (a) => a.Value.State switch
    {
        AnswerState.Answered => new Answer.Given(a.Value.Values),
        AnswerState.NotSure => new Answer.NotSure(),
        _ => new Answer.Skipped(),
    }));

    /// <summary>The clinic's date again.</summary>
    public LocalDate Day() => LocalDatePattern.Iso.Parse(On).Value;

    public string ToJson() => JsonSerializer.Serialize(this);

    public static QuoteInputs FromJson(string json) => JsonSerializer.Deserialize<QuoteInputs>(json)!;
}
