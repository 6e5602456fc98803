using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads an intake from a FHIR R4 Questionnaire. What it cannot honour it reports, never drops.</summary>
/// <remarks>Groups are flattened; a display item inside a question is its "why we ask". From HL7 FHIR R4, resource Questionnaire (memory, unchecked).</remarks>
internal static class QuestionnaireReader
{
    /// <summary>Code system of the answer "not sure" (<c>asked-unknown</c>).</summary>
    internal const string NotSureSystem = "http://terminology.hl7.org/CodeSystem/data-absent-reason";

    /// <summary>Code of the answer "not sure".</summary>
    internal const string NotSureCode = "asked-unknown";

    private const string ExclusiveUrl = "http://hl7.org/fhir/StructureDefinition/questionnaire-optionExclusive";

    /// <summary>Null, with every fault added, when it cannot be asked exactly as it stands.</summary>
    internal static Questionnaire? Read(ContentDocument doc, List<ContentError> errors)
    {
        var before = errors.Count;
        if (Text(doc.Root["resourceType"]) != "Questionnaire") doc.Fault(errors, "/resourceType", "This must be a FHIR Questionnaire.");
        if (Text(doc.Root["status"]) is not ("draft" or "active")) doc.Fault(errors, "/status", "This must be draft, until a clinician has signed it off, or active; a retired questionnaire is not asked.");
        if (!Uri.TryCreate(Text(doc.Root["url"]), UriKind.Absolute, out _)) doc.Fault(errors, "/url", "The questionnaire needs its canonical address.");
        var title = Text(doc.Root["title"]);
        if (string.IsNullOrWhiteSpace(title)) doc.Fault(errors, "/title", "The questionnaire needs a title.");
        var questions = new List<Question>();
        ReadItems(doc, errors, doc.Root["item"], "/item", questions);
        if (questions.Count == 0 && errors.Count == before) doc.Fault(errors, "/item", "At least one question is needed.");
        return errors.Count == before ? new(doc.Version, title!, questions) : null;
    }

    /// <summary>Whether an option (an element of <c>answerOption</c>) cannot be chosen beside others.</summary>
    private static bool IsExclusive(JsonObject option) =>
        (option["extension"] as JsonArray ?? []).OfType<JsonObject>().Any(e => Text(e["url"]) == ExclusiveUrl && Flag(e["valueBoolean"]));

    private static void ReadItems(ContentDocument doc, List<ContentError> errors, JsonNode? items, string at, List<Question> questions)
    {
        if (items is not JsonArray array)
        {
            if (items is not null) doc.Fault(errors, at, "Items are a list.");
            return;
        }
        for (var i = 0; i < array.Count; i++)
        {
            if (array[i] is JsonObject item) ReadItem(doc, errors, item, $"{at}/{i}", questions);
            else doc.Fault(errors, $"{at}/{i}", "An item is an object.");
        }
    }

    private static void ReadItem(ContentDocument doc, List<ContentError> errors, JsonObject item, string at, List<Question> questions)
    {
        var type = Text(item["type"]);
        if (item["modifierExtension"] is not null) doc.Fault(errors, at + "/modifierExtension", "An extension that changes the meaning is not understood here.");
        if (type is "display") return;
        if (type is "group")
        {
            if (item["enableWhen"] is not null) doc.Fault(errors, at + "/enableWhen", "A group with conditions is not supported: put them on its questions.");
            ReadItems(doc, errors, item["item"], at + "/item", questions);
            return;
        }
        var linkId = Text(item["linkId"]);
        if (string.IsNullOrWhiteSpace(linkId)) doc.Fault(errors, at + "/linkId", "A question needs a linkId.");
        else if (questions.Any(q => q.LinkId == linkId)) doc.Fault(errors, at + "/linkId", $"The linkId {linkId} stands twice.");
        var text = Text(item["text"]);
        if (string.IsNullOrWhiteSpace(text)) doc.Fault(errors, at + "/text", "A question needs words.");
        var several = Flag(item["repeats"]);
        if (several && type != "choice") doc.Fault(errors, at + "/repeats", "Only a choice may be answered more than once.");
        var (options, notSure) = type == "choice" ? ReadOptions(doc, errors, item, at) : ([], false);
        var yesNo = type == "choice" && !several && options is [{ Code: "yes", Text: "Yes" }, { Code: "no", Text: "No" }];
        QuestionKind? kind = type switch
        {
            "boolean" => QuestionKind.YesNo,
            "choice" => yesNo ? QuestionKind.YesNo : several ? QuestionKind.Several : QuestionKind.Choice,
            "date" => QuestionKind.Date,
            "integer" or "decimal" => QuestionKind.Number,
            "string" => QuestionKind.ShortText,
            "text" => QuestionKind.LongText,
            _ => null,
        };
        if (kind is null) doc.Fault(errors, at + "/type", $"The type {type ?? "(none)"} is not supported.");
        var when = ReadConditions(doc, errors, item, at, questions);
        var all = Text(item["enableBehavior"]) != "any";
        if (when.Count > 1 && Text(item["enableBehavior"]) is not ("all" or "any")) doc.Fault(errors, at + "/enableBehavior", "Several conditions need enableBehavior all or any.");
        var why = new List<string>();
        foreach (var (node, i) in (item["item"] as JsonArray ?? []).Select((n, i) => (n, i)))
        {
            if (node is JsonObject child && Text(child["type"]) == "display") why.Add(Text(child["text"]) ?? "");
            else doc.Fault(errors, $"{at}/item/{i}", "Inside a question only help (type display) is supported.");
        }
        questions.Add(new(linkId ?? "", text ?? "", string.Join(' ', why), kind ?? QuestionKind.ShortText, yesNo ? [] : options, notSure, Flag(item["required"]), when, all));
    }

    private static (List<Option> Options, bool NotSure) ReadOptions(ContentDocument doc, List<ContentError> errors, JsonObject item, string at)
    {
        var options = new List<Option>();
        var notSure = false;
        var rows = item["answerOption"] as JsonArray ?? [];
        if (rows.Count == 0) doc.Fault(errors, at + "/answerOption", "A choice needs its options here; value sets are not looked up.");
        for (var i = 0; i < rows.Count; i++)
        {
            var coding = (rows[i] as JsonObject)?["valueCoding"] as JsonObject;
            var code = Text(coding?["code"]);
            if (code == NotSureCode && Text(coding?["system"]) == NotSureSystem) notSure = true;
            else if (string.IsNullOrWhiteSpace(code)) doc.Fault(errors, $"{at}/answerOption/{i}", "An option is a valueCoding with a code.");
            else if (options.Any(o => o.Code == code)) doc.Fault(errors, $"{at}/answerOption/{i}", $"The option {code} stands twice.");
            else options.Add(new(code, Text(coding?["display"]) ?? code, IsExclusive((JsonObject)rows[i]!)));
        }
        return (options, notSure);
    }

    private static List<AskedWhen> ReadConditions(ContentDocument doc, List<ContentError> errors, JsonObject item, string at, List<Question> earlier)
    {
        var when = new List<AskedWhen>();
        foreach (var (node, i) in (item["enableWhen"] as JsonArray ?? []).Select((n, i) => (n as JsonObject, i)))
        {
            var place = $"{at}/enableWhen/{i}";
            var question = earlier.FirstOrDefault(q => q.LinkId == Text(node?["question"]));
            var code = node?["answerBoolean"] is JsonValue ? (Flag(node["answerBoolean"]) ? "yes" : "no") : Text((node?["answerCoding"] as JsonObject)?["code"]);
            if (question is null) doc.Fault(errors, place + "/question", "A condition names a question asked before.");
            else if (Text(node?["operator"]) != "=") doc.Fault(errors, place + "/operator", "Only the operator = is supported.");
            else if (code is null) doc.Fault(errors, place, "A condition needs answerCoding or answerBoolean.");
            else if (!(code == NotSureCode && question.MayBeNotSure) && !IsAnswer(question, code)) doc.Fault(errors, place, $"{code} is no answer of {question.LinkId}.");
            else when.Add(new(question.LinkId, code));
        }
        return when;
    }

    private static bool IsAnswer(Question question, string code) =>
        question.Kind == QuestionKind.YesNo ? code is "yes" or "no" : question.Options.Any(o => o.Code == code);

    private static string? Text(JsonNode? node) => node is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;

    private static bool Flag(JsonNode? node) => node is JsonValue value && value.TryGetValue<bool>(out var flag) && flag;
}
