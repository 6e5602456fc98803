using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads an intake from a FHIR R4 Questionnaire. What it cannot honour it reports, never drops.</summary>
/// <remarks>Groups are flattened; a display item inside a question is its "why we ask". From HL7 FHIR R4, resource Questionnaire (memory, unchecked).</remarks>
internal sealed class QuestionnaireReader
{
    /// <summary>Code system of the answer "not sure" (<c>asked-unknown</c>).</summary>
    internal const string NotSureSystem = "http://terminology.hl7.org/CodeSystem/data-absent-reason";

    /// <summary>Code of the answer "not sure".</summary>
    internal const string NotSureCode = "asked-unknown";

    private readonly ContentDocument doc;
    private readonly List<ContentError> errors;
    private readonly FhirWords words;
    private readonly List<Question> questions = [];

    private QuestionnaireReader(ContentDocument doc, List<ContentError> errors, string? language)
    {
        this.doc = doc;
        this.errors = errors;
        words = new(doc, errors, language == (FhirWords.Text(doc.Root["language"]) ?? "en") ? null : language);
    }

    /// <summary>Null, with every fault added, when it cannot be asked exactly as it stands.</summary>
    /// <param name="doc">The file.</param>
    /// <param name="errors">Where faults are added.</param>
    /// <param name="language">Language of the words; null for the one the file is written in. In another language every word must be translated.</param>
    internal static Questionnaire? Read(ContentDocument doc, List<ContentError> errors, string? language = null) =>
        new QuestionnaireReader(doc, errors, language).Read();

    private Questionnaire? Read()
    {
        var before = errors.Count;
        if (Text(doc.Root["resourceType"]) != "Questionnaire") doc.Fault(errors, "/resourceType", "This must be a FHIR Questionnaire.");
        if (Text(doc.Root["status"]) is not ("draft" or "active")) doc.Fault(errors, "/status", "This must be draft, until a clinician has signed it off, or active; a retired questionnaire is not asked.");
        if (!Uri.TryCreate(Text(doc.Root["url"]), UriKind.Absolute, out _)) doc.Fault(errors, "/url", "The questionnaire needs its canonical address.");
        CheckKnown(doc.Root, "", null);
        var title = words.Of(doc.Root, "title", "", "The questionnaire needs a title.");
        ReadItems(doc.Root["item"], "/item");
        if (questions.Count == 0 && errors.Count == before) doc.Fault(errors, "/item", "At least one question is needed.");
        return errors.Count == before ? new(doc.Version, title, questions) : null;
    }

    private void ReadItems(JsonNode? items, string at)
    {
        if (items is not JsonArray array)
        {
            if (items is not null) doc.Fault(errors, at, "Items are a list.");
            return;
        }
        for (var i = 0; i < array.Count; i++)
        {
            if (array[i] is JsonObject item) ReadItem(item, $"{at}/{i}");
            else doc.Fault(errors, $"{at}/{i}", "An item is an object.");
        }
    }

    private void ReadItem(JsonObject item, string at)
    {
        var type = Text(item["type"]);
        if (item["modifierExtension"] is not null) doc.Fault(errors, at + "/modifierExtension", "An extension that changes the meaning is not understood here.");
        if (type is "display") return;
        if (type is "group")
        {
            CheckKnown(item, at, type);
            foreach (var key in (string[])["enableWhen", "required", "repeats"])
                if (item[key] is { } limit && (limit is not JsonValue || Flag(limit))) doc.Fault(errors, $"{at}/{key}", $"A group with {key} is not supported: put it on its questions.");
            ReadItems(item["item"], at + "/item");
            return;
        }
        var linkId = Text(item["linkId"]);
        if (string.IsNullOrWhiteSpace(linkId)) doc.Fault(errors, at + "/linkId", "A question needs a linkId.");
        else if (questions.Any(q => q.LinkId == linkId)) doc.Fault(errors, at + "/linkId", $"The linkId {linkId} stands twice.");
        CheckKnown(item, at, type);
        var text = words.Of(item, "text", at, "A question needs words.");
        var several = Flag(item["repeats"]);
        if (several && type != "choice") doc.Fault(errors, at + "/repeats", "Only a choice may be answered more than once.");
        var (options, notSure) = type == "choice" ? ReadOptions(item, at) : ([], false);
        var yesNo = type == "choice" && !several && options is [{ Code: "yes" }, { Code: "no" }] && item["answerOption"] is JsonArray rows && IsPlain(rows[0], "yes", "Yes") && IsPlain(rows[1], "no", "No");
        var kind = KindOf(type, several, yesNo);
        if (kind is null) doc.Fault(errors, at + "/type", $"The type {type ?? "(none)"} is not supported.");
        var when = ReadConditions(item, at);
        var all = Text(item["enableBehavior"]) != "any";
        if (when.Count > 1 && Text(item["enableBehavior"]) is not ("all" or "any")) doc.Fault(errors, at + "/enableBehavior", "Several conditions need enableBehavior all or any.");
        var why = new List<string>();
        foreach (var (node, i) in (item["item"] as JsonArray ?? []).Select((n, i) => (n, i)))
        {
            if (node is JsonObject child && Text(child["type"]) == "display") why.Add(words.Of(child, "text", $"{at}/item/{i}", "Help needs words."));
            else doc.Fault(errors, $"{at}/item/{i}", "Inside a question only help (type display) is supported.");
        }
        var name = (item["code"] as JsonArray)?[0] is JsonObject code ? words.Of(code, "display", at + "/code/0", "The short name (code.display) needs words.") : text;
        questions.Add(new(
            linkId ?? "", name, text, string.Join(' ', why), kind ?? QuestionKind.ShortText, yesNo ? [] : options, notSure, Flag(item["required"]), when, all,
            ReadDates(item, at, kind)) { CodeSystem = SystemOf(item, at) });
    }

    // What would limit or change an answer and is not understood must not be passed over.
    private void CheckKnown(JsonObject item, string at, string? type)
    {
        foreach (var key in (string[])["maxLength", "initial", "answerValueSet"])
            if (item[key] is not null) doc.Fault(errors, $"{at}/{key}", "This is not supported and would be passed over.");
        if (type != "choice" && item["answerOption"] is not null) doc.Fault(errors, at + "/answerOption", "Only a choice has options.");
        foreach (var (row, i) in (item["extension"] as JsonArray ?? []).Select((n, i) => (n as JsonObject, i)))
            if (Text(row?["url"]) is not (FhirWords.MaxValue or FhirWords.MinValue or FhirWords.ItemControl))
                doc.Fault(errors, $"{at}/extension/{i}", "This extension is not understood and may limit what is a right answer.");
    }

    private string? SystemOf(JsonObject item, string at)
    {
        string?[] systems = [.. (item["answerOption"] as JsonArray ?? []).Select(o => Text((o?["valueCoding"] as JsonObject)?["system"])).Where(s => s != NotSureSystem).Distinct()];
        if (systems.Length > 1) doc.Fault(errors, at + "/answerOption", "The options of one question are codes of one system.");
        return systems.FirstOrDefault();
    }

    private static QuestionKind? KindOf(string? type, bool several, bool yesNo) => type switch
    {
        "boolean" => QuestionKind.YesNo,
        "choice" => yesNo ? QuestionKind.YesNo : several ? QuestionKind.Several : QuestionKind.Choice,
        "date" => QuestionKind.Date,
        "integer" or "decimal" => QuestionKind.Number,
        "string" => QuestionKind.ShortText,
        "text" => QuestionKind.LongText,
        _ => null,
    };

    // maxValue or minValue of today(): a bound that is a fixed day, or another expression, cannot be honoured.
    private DateSpan ReadDates(JsonObject item, string at, QuestionKind? kind)
    {
        var span = DateSpan.Any;
        foreach (var (row, i) in (item["extension"] as JsonArray ?? []).Select((n, i) => (n as JsonObject, i)))
        {
            var url = Text(row?["url"]);
            if (url is not (FhirWords.MaxValue or FhirWords.MinValue)) continue;
            var expression = ((row?["_valueDate"] as JsonObject)?["extension"] as JsonArray)?.OfType<JsonObject>().FirstOrDefault(e => Text(e["url"]) == FhirWords.Expression)?["valueExpression"];
            if (kind != QuestionKind.Date || span != DateSpan.Any || Text(expression?["language"]) != "text/fhirpath" || Text(expression?["expression"]) != "today()")
                doc.Fault(errors, $"{at}/extension/{i}", "A date takes one bound, maxValue or minValue, and the bound is today() in FHIRPath.");
            else span = url == FhirWords.MaxValue ? DateSpan.UpToToday : DateSpan.FromToday;
        }

        return span;
    }

    private (List<Option> Options, bool NotSure) ReadOptions(JsonObject item, string at)
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
            else if (coding is null || string.IsNullOrWhiteSpace(code)) doc.Fault(errors, $"{at}/answerOption/{i}", "An option is a valueCoding with a code.");
            else if (options.Any(o => o.Code == code)) doc.Fault(errors, $"{at}/answerOption/{i}", $"The option {code} stands twice.");
            else options.Add(new(code, coding["display"] is null ? code : words.Of(coding, "display", $"{at}/answerOption/{i}/valueCoding", "An option needs words."), IsExclusive((JsonObject)rows[i]!)));
        }
        return (options, notSure);
    }

    private List<AskedWhen> ReadConditions(JsonObject item, string at)
    {
        var when = new List<AskedWhen>();
        foreach (var (node, i) in (item["enableWhen"] as JsonArray ?? []).Select((n, i) => (n as JsonObject, i)))
        {
            var place = $"{at}/enableWhen/{i}";
            var question = questions.FirstOrDefault(q => q.LinkId == Text(node?["question"]));
            var code = node?["answerBoolean"] is JsonValue ? (Flag(node["answerBoolean"]) ? "yes" : "no") : Text((node?["answerCoding"] as JsonObject)?["code"]);
            if (question is null) doc.Fault(errors, place + "/question", "A condition names a question asked before.");
            else if (Text(node?["operator"]) != "=") doc.Fault(errors, place + "/operator", "Only the operator = is supported.");
            else if (code is null) doc.Fault(errors, place, "A condition needs answerCoding or answerBoolean.");
            else if (!(code == NotSureCode && question.MayBeNotSure) && !IsAnswer(question, code)) doc.Fault(errors, place, $"{code} is no answer of {question.LinkId}.");
            else when.Add(new(question.LinkId, code));
        }
        return when;
    }

    private static bool IsPlain(JsonNode? option, string code, string display) =>
        option?["valueCoding"] is JsonObject coding && Text(coding["code"]) == code && Text(coding["display"]) == display;

    // Whether an option cannot be chosen beside others.
    private static bool IsExclusive(JsonObject option) =>
        (option["extension"] as JsonArray ?? []).OfType<JsonObject>().Any(e => Text(e["url"]) == FhirWords.Exclusive && Flag(e["valueBoolean"]));

    private static bool IsAnswer(Question question, string code) =>
        question.Kind == QuestionKind.YesNo ? code is "yes" or "no" : question.Offers(code);

    private static string? Text(JsonNode? node) => FhirWords.Text(node);

    private static bool Flag(JsonNode? node) => node is JsonValue value && value.TryGetValue<bool>(out var flag) && flag;
}
