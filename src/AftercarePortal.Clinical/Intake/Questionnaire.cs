using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Intake;

/// <summary>One published version of the intake, read from a FHIR R4 Questionnaire.</summary>
/// <param name="Version">Which file and version.</param>
/// <param name="Title">Heading shown to the patient.</param>
/// <param name="Questions">In the order they are asked.</param>
public sealed record Questionnaire(ContentVersion Version, string Title, IReadOnlyList<Question> Questions)
{
    private readonly Dictionary<string, Question> _byLinkId = Questions.ToDictionary(q => q.LinkId, StringComparer.Ordinal);

    /// <summary>The question with this linkId, or null.</summary>
    public Question? Find(string linkId) => _byLinkId.GetValueOrDefault(linkId);

    /// <summary>The questions this person is asked, given the answers so far (enableWhen).</summary>
    public IReadOnlyList<Question> AskedGiven(Answers answers) => [.. Questions.Where(q => q.IsAskedGiven(answers))];
}

/// <summary>One question of an intake.</summary>
/// <param name="LinkId">Stable id, also its place in the URL: never a clinical statement about a person.</param>
/// <param name="Name">One to four words that stand for it in lists, for example <c>Allergies</c>.</param>
/// <param name="Text">The question in plain words.</param>
/// <param name="WhyWeAsk">Help text; may be empty.</param>
/// <param name="Kind">How it is answered.</param>
/// <param name="Options">Choices for <see cref="QuestionKind.Choice"/> and <see cref="QuestionKind.Several"/>; otherwise empty.</param>
/// <param name="MayBeNotSure">Whether "not sure" is offered.</param>
/// <param name="Required">Whether it can be skipped.</param>
/// <param name="AskedWhen">Conditions (enableWhen); empty means always asked.</param>
/// <param name="Dates">Which days a date question takes.</param>
/// <param name="AskedWhenAll">True when all conditions must hold (enableBehavior all), false for any.</param>
public sealed record Question(
    string LinkId, string Name, string Text, string WhyWeAsk, QuestionKind Kind, IReadOnlyList<Option> Options,
    bool MayBeNotSure, bool Required, IReadOnlyList<AskedWhen> AskedWhen, bool AskedWhenAll, DateSpan Dates = DateSpan.Any)
{
    /// <summary>The code system its options share; null when they name none.</summary>
    public string? CodeSystem { get; init; }

    /// <summary>Whether "about two weeks ago" is taken: only for a day gone by that may be left out.</summary>
    public bool MayBeAbout => Kind == QuestionKind.Date && Dates == DateSpan.UpToToday && !Required;

    /// <summary>Whether one of its options has this code.</summary>
    public bool Offers(string code)
    {
        for (var i = 0; i < Options.Count; i++)
            if (Options[i].Code == code) return true;
        return false;
    }

    /// <summary>Whether this question is asked after these answers.</summary>
    public bool IsAskedGiven(Answers answers) =>
        AskedWhen.Count == 0
        || (AskedWhenAll ? AskedWhen.All(c => c.Holds(answers)) : AskedWhen.Any(c => c.Holds(answers)));
}

/// <summary>One choice.</summary>
/// <param name="Code">Its code.</param>
/// <param name="Text">What the patient reads.</param>
/// <param name="StandsAlone">True for an option that contradicts every other, such as "none of these" (FHIR extension questionnaire-optionExclusive).</param>
public sealed record Option(string Code, string Text, bool StandsAlone = false);

/// <summary>How a question is answered.</summary>
public enum QuestionKind { YesNo, Choice, Several, Date, Number, ShortText, LongText }

/// <summary>Which days a date question takes, counted from the clinic's date.</summary>
public enum DateSpan { Any, UpToToday, FromToday }

/// <summary>One enableWhen condition: the named question was answered with this code.</summary>
/// <param name="LinkId">The earlier question.</param>
/// <param name="Code">Answer that makes this question appear: an option code, <c>yes</c> or <c>no</c>.</param>
/// <remarks>"Not sure" to the earlier question also makes it appear: doubt asks more, never less.</remarks>
public sealed record AskedWhen(string LinkId, string Code)
{
    /// <summary>Whether the condition holds.</summary>
    public bool Holds(Answers answers) => answers[LinkId] is Answer.NotSure || answers.ValuesOf(LinkId).Contains(Code);
}
