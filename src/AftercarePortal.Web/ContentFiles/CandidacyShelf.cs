using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Every version of the intake's questions with the rules about them.</summary>
/// <param name="Editions">Oldest rules first.</param>
/// <param name="InForce">The newest signed one, whether its day has come or not (<see cref="On"/> asks for a day); while none is signed, the newest draft.</param>
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

        /// <summary>The day from which it counts, on the clinic's calendar.</summary>
        public LocalDate Effective { get; } = LocalDatePattern.Iso.Parse(CandidacyReader.Text(File.Root["effective"]) ?? "") is { Success: true } day ? day.Value : LocalDate.MinIsoValue;
    }

    /// <summary>The version new intakes are filled in and read under on a day: of the signed ones whose day has come the newest.</summary>
    /// <param name="day">The clinic's date.</param>
    /// <remarks>While the day of none has come, the oldest signed one: something must be asked, and it was signed. While none is signed, the newest draft, whatever its day.</remarks>
    public Edition On(LocalDate day)
    {
        var signed = Editions.Where(e => ContentVersions.StatusOf(e.File) == "published").ToList();
        return signed.LastOrDefault(e => e.Effective <= day) ?? signed.FirstOrDefault() ?? InForce;
    }

    /// <summary>The rules for an intake begun under these questions: those of the day, or the newest signed before it that ask the same questions.</summary>
    /// <param name="questionnaire">For example <c>lower-face.v1</c>.</param>
    /// <param name="day">The clinic's date.</param>
    public Edition For(string questionnaire, LocalDate day)
    {
        var now = On(day);
        if (now.Questions.Version.ToString() == questionnaire) return now;
        var same = Editions.Where(e => e.Questions.Version.ToString() == questionnaire).ToList();
        return same.LastOrDefault(e => e.Effective <= day) ?? same.LastOrDefault() ?? now;
    }

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
