using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>Warning signs in what a person wrote into an intake, read as a text to the clinic is read.</summary>
public static class OwnWordSigns
{
    /// <summary>Ids of the triage concepts found in any free text of an intake. A fear or a story may count too: doubt raises.</summary>
    /// <param name="lexicon">The triage rules.</param>
    /// <param name="questionnaire">Tells which answers are words.</param>
    /// <param name="answers">One intake.</param>
    public static IReadOnlySet<string> SignsIn(this TriageLexicon lexicon, Questionnaire questionnaire, Answers answers) =>
        (from question in questionnaire.Questions.Where(q => q.Kind is QuestionKind.ShortText or QuestionKind.LongText)
         from words in answers.ValuesOf(question.LinkId)
         from clue in lexicon.Read(words, new(null, [], 0)).Clues
         select clue.ConceptId).ToHashSet(StringComparer.Ordinal);
}
