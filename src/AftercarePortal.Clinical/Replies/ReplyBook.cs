using AftercarePortal.Clinical.Sources;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Clinical.Replies;

/// <summary>What is answered to a patient's text besides the words for its tier. It may raise a reading and never lowers one.</summary>
/// <param name="Version">Id and version of the file it came from.</param>
/// <param name="Languages">Everyday words by language; they tell which language a text is written in.</param>
/// <param name="Switches">Whole texts that ask for a language.</param>
/// <param name="Person">Whole texts that ask for a person.</param>
/// <param name="WrongNumber">Words that say the number is somebody else's.</param>
/// <param name="WrongNumberTold">Words that tell of a wrong number of before, ask whether this is one, or excuse it: they say nothing of who has this one.</param>
/// <param name="SomebodyElse">Words that say that another person than the patient writes.</param>
/// <param name="CheckIn">How a check-in answer is read.</param>
/// <param name="Loop">When an exchange with a machine ends.</param>
/// <param name="Photo">When a photo is asked for.</param>
/// <param name="Questions">Beginnings of a question by language.</param>
/// <param name="Answers">Common questions and the texts that answer them.</param>
public sealed record ReplyBook(
    ContentVersion Version, IReadOnlyDictionary<string, WordSet> Languages, IReadOnlyDictionary<string, WordSet> Switches, WordSet Person, WordSet WrongNumber, WordSet WrongNumberTold, WordSet SomebodyElse,
    CheckInRules CheckIn, LoopRules Loop, PhotoRules Photo, IReadOnlyDictionary<string, WordSet> Questions, IReadOnlyList<ApprovedAnswer> Answers)
{
    private const int ClearLead = 2;

    /// <summary>The language a text is written in; null when its words do not say.</summary>
    public string? LanguageOf(string text)
    {
        var words = TextCutter.WordsOf(text);
        if (SwitchIn(words) is { } asked) return asked;
        var counts = Languages.Select(l => (Language: l.Key, Count: words.Count(l.Value.Holds))).OrderByDescending(l => l.Count).ToArray();
        return counts is [var first, var second, ..] && first.Count >= second.Count + ClearLead ? first.Language : null;
    }

    /// <summary>Whether a text says that somebody else than the patient writes, or that it is about another person.</summary>
    public bool IsSomebodyElse(string text, Reading reading) => SomebodyElse.IsIn(TextCutter.WordsOf(text)) || reading.Clues.Any(c => c.Status == "other-person");

    /// <summary>Whether a text asks for a language and says nothing else.</summary>
    public bool IsSwitch(string text) => SwitchIn(TextCutter.WordsOf(text)) is not null;

    /// <summary>What to make of a text that was read.</summary>
    /// <param name="text">As the patient wrote it.</param>
    /// <param name="reading">The text read together with the ones before it.</param>
    /// <param name="alone">The same text read for itself.</param>
    /// <param name="about">What went before in the conversation.</param>
    public Turn Take(string text, Reading reading, Reading alone, TurnContext about)
    {
        var words = TextCutter.WordsOf(text);
        var turn = new Turn(reading.Tier, [], [], null, null, false, false);
        if (SwitchIn(words) is { } language)
            return turn with { SwitchTo = language, Tier = Nothing(reading, alone, about) ? Tier.Routine : reading.Tier, Answers = ["language-set"] };
        if (CheckIn.Read(text, words) is { } code)
        {
            if (about.WasAskedToCheckIn) return WithCode(turn, code, reading, alone, about);
            if (about.WasAskedEarlier && CheckIn.TierOf(code, about.LastPain) is var (tier, why) && tier > turn.Tier) turn = turn.RaisedTo(tier, $"{why}, asked for a while ago");
        }

        if (IsSomebodyElse(text, reading)) turn = turn.RaisedTo(Tier.SameDay, "somebody else may be writing: ask who was treated, ring both");
        if (Person.IsWhole(words)) return turn.RaisedTo(Tier.SameDay, "asks for a person");
        if (WrongNumber.IsIn(words)) return turn.RaisedTo(Tier.SameDay, "says the number is somebody else's") with { SaysWrongNumber = !WrongNumberTold.IsIn(words) && !text.Contains('?', StringComparison.Ordinal) };
        // A text that makes it worse is answered however many went before: that ends by itself, for a sign is new once and a tier rises three times.
        if (about.SentLately >= Loop.SilentAfter && !about.Reported.IsWorsenedBy(reading)) return turn.RaisedTo(Tier.SameDay, "too many texts in a short time") with { IsSilent = true };
        if (about.SentLately >= Loop.PersonAfter && reading.Tier <= Tier.SameDay)
            return turn.RaisedTo(Tier.SameDay, "many texts in a short time") with { IsSilent = true };
        if (reading.Tier is Tier.Routine && reading.Clues.Count == 0 && !about.HasPhoto)
            return turn with { Answers = AnswersTo(text, words, reading, about) };
        // In an emergency nothing more is asked of the patient.
        var photo = !about.HasPhoto && !about.WasAskedForPhoto && reading.Tier is Tier.SameDay or Tier.Urgent && reading.Clues.Any(c => Photo.Helps.Contains(c.ConceptId) && c.Status is "present" or "hedged" or "asked");
        return photo ? turn with { Answers = [Photo.TextId] } : turn;
    }

    private string? SwitchIn(IReadOnlyList<string> words) => Switches.FirstOrDefault(s => s.Value.IsWhole(words)).Key;

    // A bare number or letter that was asked for is known; the care of the unknown gives way to the rule, whatever was found besides stays.
    private Turn WithCode(Turn turn, CheckInAnswer code, Reading reading, Reading alone, TurnContext about)
    {
        var (tier, reason) = CheckIn.TierOf(code, about.LastPain);
        return (Nothing(reading, alone, about) ? turn with { Tier = Tier.Routine } : turn).RaisedTo(tier, reason) with { Code = code, Answers = tier is Tier.Routine ? ["check-in-noted"] : [] };
    }

    // Nothing but the unknown itself made this text more than routine: no clue, no photo with it, and no earlier text that raised it.
    private static bool Nothing(Reading reading, Reading alone, TurnContext about) => !about.WroteJustBefore && !about.BringsPhoto && reading.Clues.Count == 0 && reading.Tier == alone.Tier;

    private IReadOnlyList<string> AnswersTo(string text, IReadOnlyList<string> words, Reading reading, TurnContext about)
    {
        if (reading.Desk is "admin") return ["answer-desk"];
        if (!text.Contains('?', StringComparison.Ordinal) && !Questions.Values.Any(q => q.IsIn(words))) return [];
        var found = Answers.Where(a => a.Words.Values.Any(w => w.IsIn(words))).ToArray();
        // More than two things at once, or one that this treatment's answer is not written for: a person.
        return found.Length is 1 or 2 && found.All(a => a.IsFor(about.Products)) ? [.. found.Select(a => a.TextId)] : [];
    }
}
