using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Triage;
using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>One intake as conditions see it: what was answered, what was asked, and what day it is.</summary>
/// <param name="Questionnaire">The questions, with the conditions they are asked under.</param>
/// <param name="Answers">By linkId.</param>
/// <param name="Today">The clinic's local date.</param>
/// <param name="Signs">Warning signs read in the person's own words (ids of triage concepts); empty when nobody read them.</param>
public sealed record IntakeFacts(Questionnaire Questionnaire, Answers Answers, LocalDate Today, IReadOnlySet<string> Signs)
{
    // Many rules look for their own words in the same texts; each text is cut into words once.
    private readonly Dictionary<string, IReadOnlyList<string>> words = new(StringComparer.Ordinal);

    // A question left out is asked about by every rule that reads it.
    private readonly Dictionary<string, Truth> applies = new(StringComparer.Ordinal);

    /// <summary>The words of one of these answers, as <see cref="WordsIn"/> compares them.</summary>
    internal IReadOnlyList<string> WordsOf(string text) =>
        words.TryGetValue(text, out var cut) ? cut : words[text] = TextCutter.WordsOf(text);

    /// <summary>Tests the values given. No answer is unknown, unless the question certainly did not apply.</summary>
    /// <param name="linkId">The question.</param>
    /// <param name="test">What the values mean.</param>
    /// <returns>A value that is no option of the question is never read as a plain no.</returns>
    public Truth Test(string linkId, Func<IReadOnlyList<string>, Truth> test)
    {
        if (Answers[linkId] is not Answer.Given { Values.Count: > 0 } given) return Applies(linkId) == Truth.No ? Truth.No : Truth.Unknown;
        var truth = test(given.Values);
        return truth == Truth.No && !AreOptions(linkId, given.Values) ? Truth.Unknown : truth;
    }

    /// <summary>The same for the commonest test: whether one of these codes was given.</summary>
    internal Truth TestCodes(string linkId, IReadOnlyList<string> codes)
    {
        if (Answers[linkId] is not Answer.Given { Values: { Count: > 0 } values }) return Applies(linkId) == Truth.No ? Truth.No : Truth.Unknown;
        foreach (var value in values)
            foreach (var code in codes)
                if (value == code) return Truth.Yes;
        return AreOptions(linkId, values) ? Truth.No : Truth.Unknown;
    }

    /// <summary>Tests the one date given; a text that is no date is unknown.</summary>
    public Truth TestDate(string linkId, Func<LocalDate, Truth> test) =>
        Test(linkId, _ => DateOf(linkId) is { } date ? test(date) : Truth.Unknown);

    /// <summary>The day given to a question, or null; of a range the latest day it can have been.</summary>
    public LocalDate? DateOf(string linkId) => DaysOf(linkId)?.To;

    /// <summary>The days given to a question, or null. Of a question about the past, days still to come do not count when others are left.</summary>
    public DayRange? DaysOf(string linkId) =>
        Answers.ValuesOf(linkId) is not [var text] || DayRange.Parse(text) is not { } range ? null
        : range.From <= Today && range.To > Today && Find(linkId) is { Dates: DateSpan.UpToToday } ? range with { To = Today }
        : range;

    /// <summary>Whether a question applied (enableWhen). An earlier question without an answer leaves it open.</summary>
    public Truth Applies(string linkId) => applies.TryGetValue(linkId, out var known) ? known : applies[linkId] = WhetherItApplies(linkId);

    private Truth WhetherItApplies(string linkId)
    {
        if (Find(linkId) is not { AskedWhen.Count: > 0 } question) return Truth.Yes;
        var conditions = question.AskedWhen.Select(c => TestCodes(c.LinkId, [c.Code]));
        return question.AskedWhenAll ? conditions.Min() : conditions.Max();
    }

    private bool AreOptions(string linkId, IReadOnlyList<string> values)
    {
        var question = Find(linkId);
        foreach (var value in values)
            if (!IsOption(question, value)) return false;
        return true;
    }

    private static bool IsOption(Question? question, string value)
    {
        if (question is null) return false;
        if (question.Kind is QuestionKind.YesNo) return value is "yes" or "no";
        if (question.Kind is not (QuestionKind.Choice or QuestionKind.Several)) return true;
        foreach (var option in question.Options)
            if (option.Code == value) return true;
        return false;
    }

    private Question? Find(string linkId) => Questionnaire.Find(linkId);
}
