using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Triage;
using NodaTime;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>One intake as conditions see it: what was answered, what was asked, and what day it is.</summary>
/// <param name="questionnaire">The questions, with the conditions they are asked under.</param>
/// <param name="answers">By linkId.</param>
/// <param name="today">The clinic's local date.</param>
/// <param name="signs">Warning signs read in the person's own words (ids of triage concepts); empty when nobody read them.</param>
public sealed class IntakeFacts(Questionnaire questionnaire, Answers answers, LocalDate today, IReadOnlySet<string> signs)
{
    // Many rules look for their own words in the same texts; each text is cut into words once.
    private readonly Dictionary<string, IReadOnlyList<string>> words = new(StringComparer.Ordinal);

    // Many rules read the same question: what is known of it is worked out once.
    private readonly Dictionary<string, Told> told = new(questionnaire.Questions.Count, StringComparer.Ordinal);

    /// <summary>By linkId.</summary>
    public Answers Answers { get; } = answers;

    /// <summary>The clinic's local date.</summary>
    public LocalDate Today { get; } = today;

    /// <summary>Warning signs read in the person's own words.</summary>
    public IReadOnlySet<string> Signs { get; } = signs;

    /// <summary>The words of one of these answers, as <see cref="WordsIn"/> compares them.</summary>
    internal IReadOnlyList<string> WordsOf(string text) =>
        words.TryGetValue(text, out var cut) ? cut : words[text] = TextCutter.WordsOf(text);

    /// <summary>What every test of a question says when nothing was answered: unknown, or no when the question certainly did not apply; null when something was.</summary>
    internal Truth? Unanswered(string linkId) => Of(linkId) is { Values: null } known ? known.Unanswered : null;

    /// <summary>No for an answer that was read: a value that is no option of the question is never read as a plain no.</summary>
    internal Truth PlainNo(string linkId) => Of(linkId).AreOptions ? Truth.No : Truth.Unknown;

    /// <summary>Whether one of these codes was given to a question.</summary>
    internal Truth TestCodes(string linkId, IReadOnlyList<string> codes)
    {
        var known = Of(linkId);
        if (known.Values is not { } values) return known.Unanswered;
        for (var c = 0; c < codes.Count; c++)
            if (Holds(values, codes[c])) return Truth.Yes;
        return known.AreOptions ? Truth.No : Truth.Unknown;
    }

    private Truth TestCode(string linkId, string code)
    {
        var known = Of(linkId);
        return known.Values is not { } values ? known.Unanswered : Holds(values, code) ? Truth.Yes : known.AreOptions ? Truth.No : Truth.Unknown;
    }

    private static bool Holds(IReadOnlyList<string> values, string code)
    {
        for (var v = 0; v < values.Count; v++)
            if (values[v] == code) return true;
        return false;
    }

    /// <summary>A question as the cause of a finding.</summary>
    internal Cause CauseOf(string linkId)
    {
        var known = Of(linkId);
        return known.Cause ??= new(linkId, Answers[linkId]);
    }

    /// <summary>The day given to a question, or null; of a range the latest day it can have been.</summary>
    public LocalDate? DateOf(string linkId) => DaysOf(linkId)?.To;

    /// <summary>The days given to a question, or null. Of a question about the past, days still to come do not count when others are left.</summary>
    public DayRange? DaysOf(string linkId)
    {
        var known = Of(linkId);
        if (!known.DaysRead) (known.DaysRead, known.Days) = (true, ReadDays(known));
        return known.Days;
    }

    private DayRange? ReadDays(Told known) =>
        known.Values is not [var text] || DayRange.Parse(text) is not { } range ? null
        : range.From <= Today && range.To > Today && known.Question is { Dates: DateSpan.UpToToday } ? range with { To = Today }
        : range;

    private Told Of(string linkId)
    {
        if (told.TryGetValue(linkId, out var known)) return known;
        var question = questionnaire.Find(linkId);
        var values = Answers[linkId] is Answer.Given { Values: { Count: > 0 } given } ? given : null;
        return told[linkId] = new(question, values, values is null && Applies(question) == Truth.No ? Truth.No : Truth.Unknown, values is not null && AreOptions(question, values));
    }

    // An earlier question without an answer leaves it open whether this one applied (enableWhen).
    private Truth Applies(Question? question)
    {
        if (question is not { AskedWhen.Count: > 0 }) return Truth.Yes;
        var (all, any) = (Truth.Yes, Truth.No);
        for (var i = 0; i < question.AskedWhen.Count; i++)
        {
            var one = TestCode(question.AskedWhen[i].LinkId, question.AskedWhen[i].Code);
            (all, any) = (one < all ? one : all, one > any ? one : any);
        }

        return question.AskedWhenAll ? all : any;
    }

    private static bool AreOptions(Question? question, IReadOnlyList<string> values)
    {
        for (var i = 0; i < values.Count; i++)
            if (!IsOption(question, values[i])) return false;
        return true;
    }

    private static bool IsOption(Question? question, string value) => question?.Kind switch
    {
        null => false,
        QuestionKind.YesNo => value is "yes" or "no",
        QuestionKind.Choice or QuestionKind.Several => question.Offers(value),
        _ => true,
    };

    /// <param name="question">Null when the questionnaire has none of that id.</param>
    /// <param name="values">What was given; null when nothing was.</param>
    /// <param name="unanswered">What every test is then: unknown, or no when the question certainly did not apply.</param>
    /// <param name="areOptions">Whether every value is one the question offers.</param>
    private sealed class Told(Question? question, IReadOnlyList<string>? values, Truth unanswered, bool areOptions)
    {
        public Question? Question { get; } = question;
        public IReadOnlyList<string>? Values { get; } = values;
        public Truth Unanswered { get; } = unanswered;
        public bool AreOptions { get; } = areOptions;
        public Cause? Cause { get; set; }
        public bool DaysRead { get; set; }
        public DayRange? Days { get; set; }
    }
}
