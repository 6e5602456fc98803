using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Web.ContentFiles;
using NodaTime;

namespace AftercarePortal.Clinical.Tests.Candidacy;

internal static class CandidacyContent
{
    internal static string Folder { get; } = Path.Combine(TriageContent.Root, "content");

    /// <summary>The version in force; the tests are about it, whatever its number.</summary>
    private static readonly CandidacyShelf.Edition InForce = Sure(errors => CandidacyShelf.Read(Folder, errors)).InForce;

    internal static ContentDocument QuestionnaireFile => InForce.Questions;

    internal static ContentDocument RulesFile => InForce.File;

    internal static ContentDocument CasesFile { get; } = Load("candidacy", $"lower-face.v{InForce.File.Version.Number}.cases.yaml");

    internal static Questionnaire Questionnaire => InForce.Rules.Questionnaire;

    internal static CandidacyRules Rules => InForce.Rules;

    /// <summary>What the rules say, with the signs that the triage rules read in the person's own words.</summary>
    internal static Findings FindingsFor(Answers answers, LocalDate today) => Rules.FindingsFor(answers, today, TriageContent.Lexicon.SignsIn(Questionnaire, answers));

    /// <summary>An intake in which nothing flags.</summary>
    internal static Answers Base { get; } = AnswersOf(new JsonObject());

    internal static Answers AnswersOf(JsonObject changes)
    {
        var answers = new Dictionary<string, Answer>();
        foreach (var (linkId, value) in ((JsonObject)CasesFile.Root["base"]!).Concat(changes))
        {
            if (Questionnaire.Questions.All(q => q.LinkId != linkId)) throw new InvalidOperationException($"A case names no question: {linkId}");
            Answer? answer = value switch
            {
                JsonArray many => new Answer.Given([.. many.Select(v => v!.GetValue<string>())]),
                JsonValue one when one.GetValue<string>() == "skipped" => new Answer.Skipped(),
                JsonValue one when one.GetValue<string>() == "not-sure" => new Answer.NotSure(),
                JsonValue one when one.GetValue<string>() == "not-asked" => null,
                JsonValue one => new Answer.Given(one.GetValue<string>()),
                _ => throw new InvalidOperationException($"A case answers nothing to {linkId}"),
            };
            if (answer is null) answers.Remove(linkId);
            else answers[linkId] = answer;
        }
        return new(answers);
    }

    internal static ContentDocument Load(string folder, string file) => Sure(errors => ContentDocument.Load(Path.Combine(Folder, folder, file), errors));

    internal static ContentDocument FromText(string name, string text)
    {
        var path = Path.Combine(Directory.CreateTempSubdirectory("candidacy-").FullName, name);
        File.WriteAllText(path, text);
        var document = Sure(errors => ContentDocument.Load(path, errors));
        Directory.Delete(Path.GetDirectoryName(path)!, recursive: true);
        return document;
    }

    private static T Sure<T>(Func<List<ContentError>, T?> read) where T : class
    {
        var errors = new List<ContentError>();
        return read(errors) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }
}
