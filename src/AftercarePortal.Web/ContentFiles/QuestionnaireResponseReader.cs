using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.Json;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads the answers of one intake from a FHIR R4 QuestionnaireResponse. Errors name places, never what was answered.</summary>
/// <remarks>From HL7 FHIR R4, resource QuestionnaireResponse (memory, unchecked); compared with every case of the HL7 test manifest.</remarks>
internal static class QuestionnaireResponseReader
{
    private static readonly LocalDatePattern Year = LocalDatePattern.Create("uuuu", CultureInfo.InvariantCulture, new(1970, 1, 1));
    private static readonly LocalDatePattern Month = LocalDatePattern.Create("uuuu-MM", CultureInfo.InvariantCulture, new(1970, 1, 1));

    /// <summary>A hostile response could be wrong a hundred thousand times.</summary>
    private const int MostErrors = 50;

    /// <summary>Longest answer in words, in UTF-16 units.</summary>
    private const int LongestWords = 4000;

    /// <summary>Deepest nesting that is read; no intake needs a quarter of it.</summary>
    private const int Deepest = 64;

    /// <summary>So many keys of one object are compared one by one.</summary>
    private const int FewKeys = 12;

    private const char ByteOrderMark = '\uFEFF';

    private const string NotUnderstood = "what changes the meaning of the answers is not understood here.";

    private const string AbsentUrl = "http://hl7.org/fhir/StructureDefinition/data-absent-reason";

    /// <summary>The rules about the questions that were answered, in the version the response names or else the one of the day, and the answers.</summary>
    /// <returns>Null, with every error added, when the answers cannot be relied on.</returns>
    internal static (CandidacyRules Rules, Answers Answers)? Read(string json, CandidacyShelf shelf, LocalDate today, List<string> errors)
    {
        using var document = Parse(json, errors);
        if (document?.RootElement is not { } root) return null;
        var canonical = Text(root, "questionnaire"u8);
        var edition = shelf.Editions.LastOrDefault(e => canonical == $"{UrlOf(e.Questions)}|{e.Questions.Version.Number}") is { } named ? shelf.For(named.Questions.Version.ToString(), today) : shelf.On(today);
        return Read(root, edition.Rules.Questionnaire, edition.Questions, errors) is { } answers ? (edition.Rules, answers) : null;
    }

    /// <summary>Null, with every error added, when the answers cannot be relied on.</summary>
    /// <param name="json">The resource.</param>
    /// <param name="questionnaire">The questions it must answer.</param>
    /// <param name="document">The file of <paramref name="questionnaire"/>: its canonical address.</param>
    /// <param name="errors">One line each, for example <c>item[2].answer[0]: ...</c>.</param>
    internal static Answers? Read(string json, Questionnaire questionnaire, ContentDocument document, List<string> errors)
    {
        using var parsed = Parse(json, errors);
        return parsed?.RootElement is { } root ? Read(root, questionnaire, document, errors) : null;
    }

    private static JsonDocument? Parse(string json, List<string> errors)
    {
        JsonDocument document;
        try
        {
            // A reader may pass over a byte order mark (RFC 8259, section 8.1).
            var from = json.StartsWith(ByteOrderMark) ? 1 : 0;
            document = Quickly(json.AsMemory(from)) ?? JsonDocument.Parse(json.AsMemory(from), new() { AllowDuplicateProperties = false, MaxDepth = Deepest });
        }
        catch (JsonException fault)
        {
            errors.Add($"line {(fault.LineNumber ?? 0) + 1}, byte {(fault.BytePositionInLine ?? 0) + 1}: this is not readable as JSON: a character out of place, a key twice in one object, or nesting deeper than {Deepest}.");
            return null;
        }
        catch (ArgumentException)
        {
            errors.Add("line 1: this holds half a character (a lone surrogate) and is not readable as JSON.");
            return null;
        }

        if (document.RootElement.ValueKind == JsonValueKind.Object && Text(document.RootElement, "resourceType"u8) == "QuestionnaireResponse") return document;
        document.Dispose();
        errors.Add("resourceType: this is not a FHIR QuestionnaireResponse.");
        return null;
    }

    // The library's own search for a key twice costs more than all other reading: it is asked only when a glance leaves doubt, and for what is wrong.
    private static JsonDocument? Quickly(ReadOnlyMemory<char> json)
    {
        JsonDocument document;
        try
        {
            document = JsonDocument.Parse(json, new() { MaxDepth = Deepest });
        }
        catch (JsonException)
        {
            return null;
        }

        if (!MayHoldKeyTwice(document.RootElement)) return document;
        document.Dispose();
        return null;
    }

    private static bool MayHoldKeyTwice(JsonElement element)
    {
        if (element.ValueKind == JsonValueKind.Array)
        {
            foreach (var part in element.EnumerateArray())
                if (part.ValueKind is JsonValueKind.Object or JsonValueKind.Array && MayHoldKeyTwice(part)) return true;
            return false;
        }

        if (element.ValueKind != JsonValueKind.Object) return false;
        if (element.GetPropertyCount() > FewKeys) return true;
        var before = 0;
        foreach (var part in element.EnumerateObject())
        {
            var name = JsonMarshal.GetRawUtf8PropertyName(part);
            if (name.Contains((byte)'\\')) return true;
            var left = before++;
            foreach (var earlier in element.EnumerateObject())
            {
                if (left-- == 0) break;
                if (JsonMarshal.GetRawUtf8PropertyName(earlier).SequenceEqual(name)) return true;
            }

            if (part.Value.ValueKind is JsonValueKind.Object or JsonValueKind.Array && MayHoldKeyTwice(part.Value)) return true;
        }

        return false;
    }

    private static Answers? Read(JsonElement root, Questionnaire questionnaire, ContentDocument document, List<string> errors)
    {
        var before = errors.Count;
        if (Part(root, "modifierExtension"u8) is not null) errors.Add($"modifierExtension: {NotUnderstood}");
        if (Part(root, "implicitRules"u8) is not null) errors.Add($"implicitRules: {NotUnderstood}");
        var status = Text(root, "status"u8);
        if (status is not ("in-progress" or "completed" or "amended" or "stopped")) errors.Add("status: this must be in-progress, completed, amended or stopped.");
        var url = UrlOf(document);
        if (Text(root, "questionnaire"u8) is var canonical && canonical != url && canonical != $"{url}|{questionnaire.Version.Number}")
            errors.Add($"questionnaire: the answers must be to {url}|{questionnaire.Version.Number}, or to an earlier version that is there.");
        var answers = new Dictionary<string, Answer>(questionnaire.Questions.Count, StringComparer.Ordinal);
        var places = new Dictionary<string, Place>(questionnaire.Questions.Count, StringComparer.Ordinal);
        ReadItems(Part(root, "item"u8), null, questionnaire, answers, places, errors);
        var read = new Answers(answers);
        if (errors.Count == before) CheckAsked(status, questionnaire, read, places, errors);
        return errors.Count == before ? read : null;
    }

    // Whether what was asked fits what was answered can be told only when every answer could be read.
    private static void CheckAsked(string? status, Questionnaire questionnaire, Answers read, Dictionary<string, Place> places, List<string> errors)
    {
        foreach (var question in questionnaire.Questions)
        {
            var asked = question.IsAskedGiven(read);
            if (!asked && read[question.LinkId] is not Answer.Skipped) errors.Add($"{places[question.LinkId]}.answer: the question {question.LinkId} is not asked after the other answers, so one of them is wrong.");
            if (asked && status is "completed" or "amended" && question.Required && read[question.LinkId] is Answer.Skipped)
                errors.Add($"item: the question {question.LinkId} must be answered before the status is {status}.");
        }
    }

    private static void ReadItems(
        JsonElement? items, Place? inside, Questionnaire questionnaire, Dictionary<string, Answer> answers, Dictionary<string, Place> places, List<string> errors)
    {
        if (items is not { } list) return;
        if (list.ValueKind != JsonValueKind.Array) { errors.Add($"{inside}{(inside is null ? "" : ".")}item: this must be a list."); return; }
        var i = 0;
        foreach (var item in list.EnumerateArray())
        {
            if (errors.Count >= MostErrors) { if (errors[^1] != More) errors.Add(More); return; }
            ReadItem(item, new(inside, i++), questionnaire, answers, places, errors);
        }
    }

    private const string More = "There are more; the first are listed.";

    private static void ReadItem(
        JsonElement item, Place place, Questionnaire questionnaire, Dictionary<string, Answer> answers, Dictionary<string, Place> places, List<string> errors)
    {
        if (item.ValueKind != JsonValueKind.Object || Text(item, "linkId"u8) is not { } linkId) { errors.Add($"{place}: an item needs a linkId."); return; }
        var given = Part(item, "answer"u8);
        // The usual item is a linkId and an answer: there is nothing else to look for.
        var plain = given is not null && item.GetPropertyCount() == 2;
        if (!plain && Part(item, "modifierExtension"u8) is not null) errors.Add($"{place}.modifierExtension: {NotUnderstood}");
        var inside = plain ? null : Part(item, "item"u8);
        if (questionnaire.Find(linkId) is not { } question)
        {
            // A group has no answers of its own; anything else that is no question is a mistake.
            if (given is null && inside is { ValueKind: JsonValueKind.Array }) ReadItems(inside, place, questionnaire, answers, places, errors);
            else errors.Add($"{place}: the questionnaire has no question with the linkId {Shown(linkId)}.");
            return;
        }

        if (!answers.TryAdd(linkId, ReadAnswers(given, place, question, errors))) errors.Add($"{place}: the linkId {linkId} stands twice, before at {places[linkId]}.");
        else places[linkId] = place;
        if (inside is not null) errors.Add($"{place}.item: the question {linkId} has no questions inside.");
    }

    private static Answer ReadAnswers(JsonElement? given, Place at, Question question, List<string> errors)
    {
        if (given is not { } list) return new Answer.Skipped();
        if (list.ValueKind != JsonValueKind.Array || list.GetArrayLength() == 0) { errors.Add($"{at}.answer: this must be a list with an answer in it."); return new Answer.Skipped(); }
        if (list.GetArrayLength() > 1 && question.Kind != QuestionKind.Several) errors.Add($"{at}.answer: the question {question.LinkId} takes one answer.");
        var values = new List<string>();
        var notSure = false;
        var i = 0;
        foreach (var answer in list.EnumerateArray())
        {
            if (errors.Count >= MostErrors) break;
            var place = at with { Answer = i++ };
            if (answer.ValueKind != JsonValueKind.Object) { errors.Add($"{place}: an answer is an object."); continue; }
            if (!IsOneValue(answer))
            {
                if (Part(answer, "item"u8) is not null) errors.Add($"{place}.item: the question {question.LinkId} has no questions inside.");
                if (Part(answer, "modifierExtension"u8) is not null) errors.Add($"{place}.modifierExtension: {NotUnderstood}");
                if (IsAbsent(answer)) { notSure = true; continue; }
            }

            if (Value(answer, question, place, errors) is not { } value) continue;
            if (value == QuestionnaireReader.NotSureCode) notSure = true;
            else if (!values.Contains(value)) values.Add(value);
            else errors.Add($"{place}: this answer to {question.LinkId} stands twice.");
        }

        if (values.Count + (notSure ? 1 : 0) > 1 && (notSure || values.Any(v => question.Options.Any(o => o.Code == v && o.StandsAlone))))
            errors.Add($"{at}.answer: one of these answers to {question.LinkId} cannot stand beside another.");
        return notSure || values.Count == 0 ? new Answer.NotSure() : new Answer.Given(values);
    }

    private static string? Value(JsonElement answer, Question question, Place at, List<string> errors)
    {
        string? Wrong(string need)
        {
            errors.Add($"{at}: the question {question.LinkId} needs {need}.");
            return null;
        }

        if (!IsOneValue(answer) && ValuesIn(answer) > 1) return Wrong("one value, not several at once");
        var coding = Part(answer, "valueCoding"u8) is { ValueKind: JsonValueKind.Object } pair ? pair : (JsonElement?)null;
        var (code, system) = coding is { } c ? (Text(c, "code"u8), Part(c, "system"u8)) : (null, null);
        if (code == QuestionnaireReader.NotSureCode && coding is { } absent && Text(absent, "system"u8) == QuestionnaireReader.NotSureSystem)
            return question.MayBeNotSure ? code : Wrong("another answer: not sure is not offered");
        // A code of another system means another thing, even when it is spelt the same.
        if (system is not null && question.CodeSystem is not null && Text(coding!.Value, "system"u8) != question.CodeSystem) return Wrong($"a code of the system {question.CodeSystem}");
        switch (question.Kind)
        {
            case QuestionKind.YesNo:
                if (Part(answer, "valueBoolean"u8) is { ValueKind: JsonValueKind.True or JsonValueKind.False } flag) return flag.GetBoolean() ? "yes" : "no";
                return code is "yes" or "no" ? code : Wrong("yes or no (valueBoolean, or valueCoding yes or no)");
            case QuestionKind.Choice or QuestionKind.Several:
                return code is not null && question.Offers(code) ? code : Wrong("a valueCoding with the code of one of its options");
            case QuestionKind.Date:
                return Text(answer, "valueDate"u8) is { } date && DateOf(date) is { } day ? day : Wrong($"a date (valueDate, YYYY-MM-DD) from {DayRange.First.Year} to {DayRange.Last.Year}");
            case QuestionKind.Number:
                return (Part(answer, "valueInteger"u8) is { ValueKind: JsonValueKind.Number } whole && whole.TryGetInt32(out _) ? whole : Part(answer, "valueDecimal"u8)) is { ValueKind: JsonValueKind.Number } number && number.TryGetDecimal(out _)
                    ? number.GetRawText() : Wrong("a number");
            default:
                return Text(answer, "valueString"u8) is { Length: <= LongestWords } text && !string.IsNullOrWhiteSpace(text) && !HasControl(text) ? text
                    : Wrong($"words (valueString, at most {LongestWords} characters, without control characters)");
        }
    }

    // The usual answer: a value and nothing else, so there is nothing else to look for.
    private static bool IsOneValue(JsonElement answer)
    {
        if (answer.GetPropertyCount() != 1) return false;
        foreach (var part in answer.EnumerateObject()) return JsonMarshal.GetRawUtf8PropertyName(part).StartsWith("value"u8);
        return false;
    }

    private static int ValuesIn(JsonElement answer)
    {
        var count = 0;
        foreach (var part in answer.EnumerateObject())
            if (part.Name.StartsWith("value", StringComparison.Ordinal)) count++;
        return count;
    }

    // A FHIR date may be a year or a month: any day of it.
    private static string? DateOf(string date)
    {
        var range = date.Length == 4 && Year.Parse(date) is { Success: true } year ? new DayRange(year.Value, year.Value.PlusMonths(11).PlusDays(30))
            : date.Length == 7 && Month.Parse(date) is { Success: true } month ? new DayRange(month.Value, month.Value.With(DateAdjusters.EndOfMonth))
            : date.Length == 10 && LocalDatePattern.Iso.Parse(date) is { Success: true } day ? new DayRange(day.Value, day.Value) : (DayRange?)null;
        return range is { } days && days.From >= DayRange.First && days.To <= DayRange.Last ? days.ToString() : null;
    }

    // FHIR R4 lets a string hold tab, new line and carriage return, and no other character below a space.
    private static bool HasControl(string text)
    {
        foreach (var c in text)
            if (c < ' ' && c is not ('\t' or '\n' or '\r')) return true;
        return false;
    }

    // FHIR says "asked, but unknown" of a value that is not there with this extension, for example on _valueDate.
    private static bool IsAbsent(JsonElement answer)
    {
        var (absent, value) = (Marked(answer), false);
        foreach (var part in answer.EnumerateObject())
        {
            value |= part.Name.StartsWith("value", StringComparison.Ordinal);
            absent |= part.Name.StartsWith("_value", StringComparison.Ordinal) && part.Value.ValueKind == JsonValueKind.Object && Marked(part.Value);
        }

        return absent && !value;
    }

    private static bool Marked(JsonElement element) =>
        Part(element, "extension"u8) is { ValueKind: JsonValueKind.Array } list
        && list.EnumerateArray().Any(e => e.ValueKind == JsonValueKind.Object && Text(e, "url"u8) == AbsentUrl);

    /// <summary>Where an item or an answer stands; put into words only for an error.</summary>
    /// <param name="Inside">The group it stands in, or null at the top.</param>
    /// <param name="Item">From 0.</param>
    private sealed record Place(Place? Inside, int Item)
    {
        /// <summary>From 0; null for the item itself.</summary>
        public int? Answer { get; init; }

        public override string ToString() => $"{(Inside is null ? "" : $"{Inside}.")}item[{Item}]{(Answer is { } answer ? $".answer[{answer}]" : "")}";
    }

    private static string Shown(string linkId) => linkId.Length <= 64 && linkId.All(c => c is > ' ' and <= '~') ? linkId : "(not a plain id)";

    private static string? UrlOf(ContentDocument document) => FhirWords.Text(document.Root["url"]);

    /// <summary>A property; null when it is missing or null.</summary>
    private static JsonElement? Part(JsonElement element, ReadOnlySpan<byte> key) =>
        element.TryGetProperty(key, out var part) && part.ValueKind != JsonValueKind.Null ? part : null;

    // Half a character (a lone surrogate) is no text: the place is reported like any other wrong value.
    private static string? Text(JsonElement element, ReadOnlySpan<byte> key)
    {
        if (!element.TryGetProperty(key, out var part) || part.ValueKind != JsonValueKind.String) return null;
        try
        {
            return part.GetString();
        }
        catch (InvalidOperationException)
        {
            return null;
        }
    }
}
