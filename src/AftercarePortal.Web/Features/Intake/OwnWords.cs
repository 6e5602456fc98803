using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>What people write in their own words is looked through for warning signs: an intake is no place for a report, but somebody may use it as one.</summary>
internal static class OwnWords
{
    /// <summary>Whether a question is answered in own words.</summary>
    public static bool TakesWords(this Question question) => question.Kind is QuestionKind.ShortText or QuestionKind.LongText;

    /// <summary>The texts a person wrote, without dates, numbers and choices.</summary>
    public static IEnumerable<string> WordsIn(this ContentLibrary _, OpenIntake.Opened opened) =>
        from question in opened.Asked.Where(TakesWords)
        from words in opened.Answers.ValuesOf(question.LinkId)
        select words;

    /// <summary>Whether these words hold a sign that should not wait. A fear or a story may count too: doubt raises.</summary>
    /// <remarks>Only what was found counts: unknown words, which send a text to a person at once, are what a wish is made of.</remarks>
    public static bool SoundsUrgent(this ContentLibrary content, string words)
    {
        // Of a very long text the lexicon reads beginning and end, for a person reads the rest; here a person reads only what was found.
        for (var from = 0; ; from += Piece - Overlap)
        {
            var piece = words.Substring(from, Math.Min(Piece, words.Length - from));
            if (content.Lexicon.Read(piece, new(null, [], 0)).Clues.Any(clue => clue.Tier >= Tier.Urgent)) return true;
            if (from + piece.Length == words.Length) return false;
        }
    }

    // What a question takes is read in one piece; a sentence that is cut stands whole in the next.
    private const int Piece = Typed.LongestText, Overlap = 500;
}
