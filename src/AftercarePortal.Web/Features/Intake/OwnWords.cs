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
    public static bool SoundsUrgent(this ContentLibrary content, string words) => content.ReadWords(words).Clues.Any(clue => clue.Tier >= Tier.Urgent);

    /// <summary>What these words say, of nobody whose treatment is known; however long they are, none is left out.</summary>
    /// <remarks>Of a very long text the lexicon reads beginning and end, for a person reads the rest; here a person is called for what was found.</remarks>
    public static Reading ReadWords(this ContentLibrary content, string words)
    {
        var pieces = new List<Reading>();
        for (var from = 0; ; from += Piece - Overlap)
        {
            var piece = words.Substring(from, Math.Min(Piece, words.Length - from));
            var read = content.Lexicon.Read(piece, new(null, [], 0));
            pieces.Add(read with { Clues = [.. read.Clues.Select(clue => clue with { Start = clue.Start + from, End = clue.End + from })] });
            if (from + piece.Length == words.Length) break;
        }

        return pieces is [var whole] ? whole : pieces[0] with
        {
            Tier = pieces.Max(p => p.Tier), Clues = [.. pieces.SelectMany(p => p.Clues).Distinct().OrderByDescending(c => c.Tier)], Floors = [.. pieces.SelectMany(p => p.Floors).Distinct()], Desk = null,
        };
    }

    // However short its words, a piece is read to its end (TextCutter takes about a thousand tokens); a sentence that is cut stands whole in the next.
    private const int Piece = 1000, Overlap = 300;
}
