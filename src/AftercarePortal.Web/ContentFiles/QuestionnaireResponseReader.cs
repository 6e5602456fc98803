using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using NodaTime.Text;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads the answers of one intake from a FHIR R4 QuestionnaireResponse. Errors name places, never what was answered.</summary>
/// <remarks>From HL7 FHIR R4, resource QuestionnaireResponse (memory, unchecked); compared with the HL7 test cases.</remarks>
internal static class QuestionnaireResponseReader
{
    private static readonly LocalDatePattern Year = LocalDatePattern.Create("uuuu", CultureInfo.InvariantCulture, new(1970, 1, 1));
    private static readonly LocalDatePattern Month = LocalDatePattern.Create("uuuu-MM", CultureInfo.InvariantCulture, new(1970, 1, 1));

    /// <summary>A hostile response could be wrong a hundred thousand times.</summary>
    private const int MostErrors = 50;

    /// <summary>Longest answer in words, in UTF-16 units.</summary>
    private const int LongestWords = 4000;

    private const string AbsentUrl = "http://hl7.org/fhir/StructureDefinition/data-absent-reason";

    /// <summary>The rules about the questions that were answered, in the version the response names or else the one in force, and the answers.</summary>
    /// <returns>Null, with every error added, when the answers cannot be relied on.</returns>
    internal static (CandidacyRules Rules, Answers Answers)? Read(string json, CandidacyShelf shelf, List<string> errors)
    {
        if (Parse(json, errors) is not { } root) return null;
        var canonical = Text(root["questionnaire"]);
        var edition = shelf.Editions.LastOrDefault(e => canonical == $"{Text(e.Questions.Root["url"])}|{e.Questions.Version.Number}") is { } named ? shelf.For(named.Questions.Version.ToString()) : shelf.InForce;
        return Read(root, edition.Rules.Questionnaire, edition.Questions, errors) is { } answers ? (edition.Rules, answers) : null;
    }

    /// <summary>Null, with every error added, when the answers cannot be relied on.</summary>
    /// <param name="json">The resource.</param>
    /// <param name="questionnaire">The questions it must answer.</param>
    /// <param name="document">The file of <paramref name="questionnaire"/>: its canonical address.</param>
    /// <param name="errors">One line each, for example <c>item[2].answer[0]: ...</c>.</param>
    internal static Answers? Read(string json, Questionnaire questionnaire, ContentDocument document, List<string> errors) =>
        Parse(json, errors) is { } root ? Read(root, questionnaire, document, errors) : null;

    private static JsonObject? Parse(string json, List<string> errors)
    {
        JsonObject? root;
        try
        {
            root = JsonNode.Parse(json, documentOptions: new() { AllowDuplicateProperties = false, MaxDepth = 64 }) as JsonObject;
        }
        catch (JsonException fault)
        {
            errors.Add($"line {(fault.LineNumber ?? 0) + 1}, byte {(fault.BytePositionInLine ?? 0) + 1}: this is not readable as JSON.");
            return null;
        }

        if (root is not null && Text(root["resourceType"]) == "QuestionnaireResponse") return root;
        errors.Add("resourceType: this is not a FHIR QuestionnaireResponse.");
        return null;
    }

    private static Answers? Read(JsonObject root, Questionnaire questionnaire, ContentDocument document, List<string> errors)
    {
        var before = errors.Count;
        foreach (var key in (string[])["modifierExtension", "implicitRules"])
            if (root[key] is not null) errors.Add($"{key}: what changes the meaning of the answers is not understood here.");
        var status = Text(root["status"]);
        if (status is not ("in-progress" or "completed" or "amended" or "stopped")) errors.Add("status: this must be in-progress, completed, amended or stopped.");
        var url = Text(document.Root["url"]);
        if (Text(root["questionnaire"]) is var canonical && canonical != url && canonical != $"{url}|{questionnaire.Version.Number}")
            errors.Add($"questionnaire: the answers must be to {url}|{questionnaire.Version.Number}, or to an earlier version that is there.");
        var answers = new Dictionary<string, Answer>(StringComparer.Ordinal);
        ReadItems(root["item"], "item", questionnaire, answers, errors);
        var read = new Answers(answers);
        if (status is "completed" or "amended")
        {
            foreach (var q in questionnaire.AskedGiven(read).Where(q => q.Required && read[q.LinkId] is Answer.Skipped))
                errors.Add($"item: the question {q.LinkId} must be answered before the status is {status}.");
        }
        return errors.Count == before ? read : null;
    }

    private static void ReadItems(
        JsonNode? items, string at, Questionnaire questionnaire, Dictionary<string, Answer> answers, List<string> errors)
    {
        if (items is null) return;
        if (items is not JsonArray array) { errors.Add($"{at}: this must be a list."); return; }
        for (var i = 0; i < array.Count; i++)
        {
            var place = $"{at}[{i}]";
            if (array[i] is not JsonObject item || Text(item["linkId"]) is not { } linkId) { errors.Add($"{place}: an item needs a linkId."); continue; }
            var question = questionnaire.Find(linkId);
            if (item["modifierExtension"] is not null) errors.Add($"{place}.modifierExtension: what changes the meaning of the answers is not understood here.");
            if (errors.Count >= MostErrors) { errors.Add("There are more; the first are listed."); return; }
            if (question is null)
            {
                // A group has no answers of its own; anything else that is no question is a mistake.
                if (item["answer"] is null && item["item"] is JsonArray) ReadItems(item["item"], place + ".item", questionnaire, answers, errors);
                else errors.Add($"{place}: the questionnaire has no question with the linkId {Shown(linkId)}.");
                continue;
            }
            if (!answers.TryAdd(linkId, ReadAnswers(item, place, question, errors))) errors.Add($"{place}: the linkId {linkId} stands twice.");
            if (item["item"] is not null) errors.Add($"{place}.item: the question {linkId} has no questions inside.");
        }
    }

    private static Answer ReadAnswers(JsonObject item, string at, Question question, List<string> errors)
    {
        if (item["answer"] is null) return new Answer.Skipped();
        if (item["answer"] is not JsonArray { Count: > 0 } array) { errors.Add($"{at}.answer: this must be a list with an answer in it."); return new Answer.Skipped(); }
        if (array.Count > 1 && question.Kind != QuestionKind.Several) errors.Add($"{at}.answer: the question {question.LinkId} takes one answer.");
        var values = new List<string>();
        var notSure = false;
        for (var i = 0; i < array.Count; i++)
        {
            var place = $"{at}.answer[{i}]";
            if (array[i] is not JsonObject answer) { errors.Add($"{place}: an answer is an object."); continue; }
            if (answer["item"] is not null) errors.Add($"{place}.item: the question {question.LinkId} has no questions inside.");
            if (IsAbsent(answer)) { notSure = true; continue; }
            if (Value(answer, question, place, errors) is not { } value) continue;
            if (value == QuestionnaireReader.NotSureCode) notSure = true;
            else if (!values.Contains(value)) values.Add(value);
        }
        if (values.Count + (notSure ? 1 : 0) > 1 && (notSure || values.Any(v => question.Options.Any(o => o.Code == v && o.StandsAlone))))
            errors.Add($"{at}.answer: one of these answers to {question.LinkId} cannot stand beside another.");
        return notSure || values.Count == 0 ? new Answer.NotSure() : new Answer.Given(values);
    }

    private static string? Value(JsonObject answer, Question question, string at, List<string> errors)
    {
        string? Wrong(string need)
        {
            errors.Add($"{at}: the question {question.LinkId} needs {need}.");
            return null;
        }
        var coding = answer["valueCoding"] as JsonObject;
        var code = Text(coding?["code"]);
        if (code == QuestionnaireReader.NotSureCode && Text(coding?["system"]) == QuestionnaireReader.NotSureSystem)
            return question.MayBeNotSure ? code : Wrong("another answer: not sure is not offered");
        switch (question.Kind)
        {
            case QuestionKind.YesNo:
                if (answer["valueBoolean"] is JsonValue flag && flag.TryGetValue<bool>(out var yes)) return yes ? "yes" : "no";
                return code is "yes" or "no" ? code : Wrong("yes or no (valueBoolean, or valueCoding yes or no)");
            case QuestionKind.Choice or QuestionKind.Several:
                return code is not null && question.Options.Any(o => o.Code == code) ? code : Wrong("a valueCoding with the code of one of its options");
            case QuestionKind.Date:
                var date = Text(answer["valueDate"]);
                if (date is not null && LocalDatePattern.Iso.Parse(date).Success) return date;
                // A FHIR date may be a year or a month: any day of it.
                return date is null ? Wrong("a date (valueDate, YYYY-MM-DD)")
                    : Year.Parse(date) is { Success: true } year ? new DayRange(year.Value, year.Value.PlusYears(1).PlusDays(-1)).ToString()
                    : Month.Parse(date) is { Success: true } month ? new DayRange(month.Value, month.Value.PlusMonths(1).PlusDays(-1)).ToString()
                    : Wrong("a date (valueDate, YYYY-MM-DD)");
            case QuestionKind.Number:
                return (answer["valueInteger"] ?? answer["valueDecimal"]) is JsonValue number && number.GetValueKind() == JsonValueKind.Number ? number.ToJsonString() : Wrong("a number");
            default:
                return Text(answer["valueString"]) is { Length: <= LongestWords } text && !string.IsNullOrWhiteSpace(text) ? text : Wrong($"words (valueString, at most {LongestWords} characters)");
        }
    }

    // FHIR says "asked, but unknown" of a value that is not there with this extension, for example on _valueDate.
    private static bool IsAbsent(JsonObject answer) =>
        answer.Where(p => p.Key.StartsWith("_value", StringComparison.Ordinal)).Select(p => p.Value).OfType<JsonObject>().Append(answer)
            .SelectMany(o => (o["extension"] as JsonArray ?? []).OfType<JsonObject>()).Any(e => Text(e["url"]) == AbsentUrl)
        && !answer.Any(p => p.Key.StartsWith("value", StringComparison.Ordinal));

    private static string Shown(string linkId) => linkId.Length <= 64 && linkId.All(c => c is > ' ' and <= '~') ? linkId : "(not a plain id)";

    // Half a character (a lone surrogate) is no text: the place is reported like any other wrong value.
    private static string? Text(JsonNode? node)
    {
        try
        {
            return node is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;
        }
        catch (InvalidOperationException)
        {
            return null;
        }
    }
}
