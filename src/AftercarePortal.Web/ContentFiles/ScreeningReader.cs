using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Adds a screening questionnaire to the intake when the clinic holds its licence, has written its wording into the slots and switched it on.</summary>
internal static class ScreeningReader
{
    /// <summary>The screen in force of a content folder; null, with faults added, when there is none.</summary>
    internal static ContentDocument? Load(string contentFolder, List<ContentError> errors) => ContentVersions.Newest(Path.Combine(contentFolder, "screening"), "body-image", "yaml", errors);

    /// <summary>The rules with the screen at their end when it is in use; otherwise as they are. Its scoring rule is checked in both cases.</summary>
    internal static CandidacyRules Add(ContentDocument? doc, CandidacyRules rules, string language, List<ContentError> errors)
    {
        if (doc is null) return rules;
        var inUse = doc.Root["in_use"] is JsonValue flag && flag.TryGetValue<bool>(out var on) && on;
        if (inUse && CandidacyReader.Text((doc.Root["signed_by"] as JsonObject)?["name"]) is null) doc.Fault(errors, "/signed_by", "A screen that is in use is signed with name, role and date.");
        var questions = rules.Questionnaire.Questions.ToList();
        foreach (var (node, i) in CandidacyReader.ListOf(doc.Root["items"]).Select((n, i) => (n as JsonObject ?? [], i)))
        {
            var text = CandidacyReader.Text(node[language]);
            if (inUse && string.IsNullOrWhiteSpace(text)) doc.Fault(errors, $"/items/{i}/{language}", "This slot is empty; a screen in use needs its licensed wording.");
            var scale = CandidacyReader.Text(node["answers"]) == "scale";
            questions.Add(new(
                CandidacyReader.Text(node["id"]) ?? "", $"{i + 1}", text ?? "", "", scale ? QuestionKind.Choice : QuestionKind.YesNo,
                scale ? Scale(doc, inUse, language, errors) : [], MayBeNotSure: true, Required: false, [], AskedWhenAll: true));
        }

        var before = errors.Count;
        if (questions.DistinctBy(q => q.LinkId).Count() != questions.Count) { doc.Fault(errors, "/items", "A question stands twice."); return rules; }
        var questionnaire = new Questionnaire(rules.Questionnaire.Version, rules.Questionnaire.Title, questions);
        var rule = CandidacyReader.ReadRule(doc, new(doc, questionnaire, errors), doc.Root["rule"] as JsonObject ?? [], "/rule", errors, language: null);
        if (rule is { ForClinician: false }) doc.Fault(errors, "/rule/for_clinician", "The result of a screen goes to the clinician alone.");
        return inUse && rule is not null && errors.Count == before ? rules with { Questionnaire = questionnaire, Rules = [.. rules.Rules, rule] } : rules;
    }

    // Five steps, 1 to 5, as the scoring rule counts them.
    private static List<Option> Scale(ContentDocument doc, bool inUse, string language, List<ContentError> errors)
    {
        string?[] steps = [.. CandidacyReader.ListOf((doc.Root["scale"] as JsonObject)?[language]).Select(CandidacyReader.Text)];
        if (inUse && (steps.Length != 5 || steps.Any(string.IsNullOrWhiteSpace))) doc.Fault(errors, $"/scale/{language}", "A step of the scale is empty; a screen in use needs its licensed wording.");
        return [.. Enumerable.Range(1, 5).Select(n => new Option($"{n}", steps.ElementAtOrDefault(n - 1) ?? ""))];
    }
}
