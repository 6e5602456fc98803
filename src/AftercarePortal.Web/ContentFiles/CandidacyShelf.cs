using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Every version of the intake's questions with the rules about them.</summary>
/// <param name="Editions">Oldest rules first.</param>
/// <param name="InForce">The one new intakes are filled in and read under.</param>
internal sealed record CandidacyShelf(IReadOnlyList<CandidacyShelf.Edition> Editions, CandidacyShelf.Edition InForce)
{
    /// <summary>One version of the rules.</summary>
    /// <param name="Questions">The file of the questions they are about.</param>
    /// <param name="File">Their own file.</param>
    /// <param name="ByLanguage">The same rules and questions with the patient's words in each language.</param>
    internal sealed record Edition(ContentDocument Questions, ContentDocument File, IReadOnlyDictionary<string, CandidacyRules> ByLanguage)
    {
        /// <summary>In the clinic's own language.</summary>
        public CandidacyRules Rules => ByLanguage[PageWords.Languages[0]];
    }

    /// <summary>The rules for an intake begun under these questions: those in force, or the newest that ask the same questions.</summary>
    /// <param name="questionnaire">For example <c>lower-face.v1</c>.</param>
    public Edition For(string questionnaire) =>
        InForce.Questions.Version.ToString() == questionnaire ? InForce : Editions.LastOrDefault(e => e.Questions.Version.ToString() == questionnaire) ?? InForce;

    /// <summary>Reads the questions, rules and screen of a content folder; null, with every fault added, when they cannot be used.</summary>
    internal static CandidacyShelf? Read(string folder, List<ContentError> errors)
    {
        var before = errors.Count;
        var asked = ContentVersions.Read(Path.Combine(folder, "questionnaires"), "lower-face", "json", errors);
        var ruled = ContentVersions.Read(Path.Combine(folder, "candidacy"), "lower-face", "yaml", errors);
        var screen = ScreeningReader.Load(folder, errors);
        var read = asked.ToDictionary(q => q.Version.ToString(), q => (File: q, Questions: QuestionnaireReader.Read(q, errors)));
        var editions = new List<Edition>();
        foreach (var file in ruled)
        {
            var about = CandidacyReader.Text(file.Root["questionnaire"]) ?? "";
            if (!read.TryGetValue(about, out var questions)) file.Fault(errors, "/questionnaire", $"There is no such questionnaire; there are {string.Join(", ", read.Keys)}.");
            else if (questions.Questions is { } own && CandidacyReader.Read(file, own, errors) is { } rules)
                editions.Add(new(questions.File, file, CandidacyReader.ReadTranslations(questions.File, file, rules, errors).ToDictionary(t => t.Key, t => ScreeningReader.Add(screen, t.Value, t.Key, errors))));
        }

        foreach (var idle in asked.Where(q => !ruled.Any(r => CandidacyReader.Text(r.Root["questionnaire"]) == q.Version.ToString())))
            idle.Fault(errors, "/version", $"No version of the candidacy rules is about {idle.Version}, so it would never be asked. Write rules with questionnaire: {idle.Version}.");
        var inForce = ContentVersions.InForce(ruled, errors);
        return errors.Count == before && editions.Find(e => e.File == inForce) is { } edition ? new(editions, edition) : null;
    }
}
