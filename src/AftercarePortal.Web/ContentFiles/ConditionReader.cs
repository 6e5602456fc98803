using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads conditions and earliest dates of candidacy rules.</summary>
internal sealed partial class ConditionReader(ContentDocument doc, Questionnaire questionnaire, List<ContentError> errors)
{
    /// <summary>Null, with the fault added, when it is no condition about these questions.</summary>
    internal Condition? Read(JsonNode? node, string at)
    {
        if (node is not JsonObject row) return Fault<Condition>(at, "A condition is a mapping.");
        return string.Join(' ', row.Select(p => p.Key).Order(StringComparer.Ordinal)) switch
        {
            "all" => ReadParts(row["all"], at + "/all") is { } parts ? new Condition.All(parts) : null,
            "any" => ReadParts(row["any"], at + "/any") is { } parts ? new Condition.Any(parts) : null,
            "not" => Read(row["not"], at + "/not") is { } part ? new Condition.Not(part) : null,
            "certain" => Read(row["certain"], at + "/certain") is { } part ? new Condition.Certain(part) : null,
            "answer is" => ReadIs(row, at),
            "answer within_days" => Dated(row["answer"], at + "/answer") is { } date && Count(row["within_days"], at + "/within_days") is { } days
                ? new Condition.WithinDays(date, days) : null,
            "answer of within_days" => ReadNearDay(row, "of", at),
            "after answer within_days" => ReadNearDay(row, "after", at),
            "answer given" => InWords(row["answer"], at + "/answer") is not { } written ? null
                : row["given"] is JsonValue flag && flag.TryGetValue<bool>(out var given) && given ? new Condition.Written(written) : Fault<Condition>(at + "/given", "This is true, or the condition is not."),
            "answer names" => InWords(row["answer"], at + "/answer") is { } text && ReadNames(row["names"], at + "/names") is { } names ? new Condition.Names(text, names) : null,
            "answer sign" => InWords(row["answer"], at + "/answer") is { } own && CandidacyReader.Text(row["sign"]) is { Length: > 0 } sign ? new Condition.Sign(own, sign) : null,
            "age_below from" => Dated(row["from"], at + "/from") is { } birth && Count(row["age_below"], at + "/age_below") is { } years
                ? new Condition.AgeBelow(birth, years) : null,
            _ => Fault<Condition>(at, "A condition is all, any, not, certain, answer with is, answer with within_days (and perhaps of or after), given, names or sign, or age_below with from."),
        };
    }

    /// <summary>Null, with the fault added, when it is no earliest date.</summary>
    internal Earliest? ReadEarliest(JsonNode? node, string at)
    {
        if (node is not JsonObject row) return Fault<Earliest>(at, "An earliest date is a mapping.");
        return string.Join(' ', row.Select(p => p.Key).Order(StringComparer.Ordinal)) switch
        {
            "after days" => Dated(row["after"], at + "/after") is { } date && Count(row["days"], at + "/days") is { } days ? new Earliest.AfterAnswer(date, days) : null,
            "days_from_today" => Count(row["days_from_today"], at + "/days_from_today") is { } days ? new Earliest.FromToday(days) : null,
            "birthday from" => Dated(row["from"], at + "/from") is { } birth && Count(row["birthday"], at + "/birthday") is { } years ? new Earliest.AtBirthday(birth, years) : null,
            _ => Fault<Earliest>(at, "An earliest date is after with days, days_from_today, or birthday with from."),
        };
    }

    private List<Condition>? ReadParts(JsonNode? node, string at)
    {
        if (node is not JsonArray { Count: > 0 } array) return Fault<List<Condition>>(at, "This must be a list with at least one condition.");
        Condition?[] parts = [.. array.Select((part, i) => Read(part, $"{at}/{i}"))];
        return parts.All(p => p is not null) ? [.. parts.OfType<Condition>()] : null;
    }

    private Condition.NearDay? ReadNearDay(JsonObject row, string other, string at) =>
        Dated(row["answer"], at + "/answer") is { } near && Dated(row[other], $"{at}/{other}") is { } of && Count(row["within_days"], at + "/within_days") is { } apart
            ? new(near, of, apart, OnlyAfter: other == "after") : null;

    private Condition? ReadIs(JsonObject row, string at)
    {
        if (Find(row["answer"], at + "/answer") is not { } question) return null;
        string[] answers = question.Kind == QuestionKind.YesNo ? ["yes", "no"] : [.. question.Options.Select(o => o.Code)];
        string[] codes = [.. CandidacyReader.ListOf(row["is"]).Select(n => CandidacyReader.Text(n) ?? "(not words)")];
        if (codes.Length == 0) return Fault<Condition>(at + "/is", "At least one answer is needed.");
        return codes.FirstOrDefault(c => !answers.Contains(c)) is { } wrong
            ? Fault<Condition>(at + "/is", $"{wrong} is no answer of {question.LinkId}.")
            : new Condition.AnswerIs(question.LinkId, codes);
    }

    private List<string>? ReadNames(JsonNode? node, string at)
    {
        string[] names = [.. CandidacyReader.ListOf(node).Select(n => CandidacyReader.Text(n) ?? "")];
        return names.Length > 0 && names.All(n => PlainWords().IsMatch(n)) ? [.. names]
            : Fault<List<string>>(at, "These are words or phrases of small letters a to z and digits, at least one.");
    }

    private string? InWords(JsonNode? node, string at) =>
        Find(node, at) is not { } question ? null
        : question.Kind is QuestionKind.ShortText or QuestionKind.LongText ? question.LinkId : Fault<string>(at, $"{question.LinkId} is not answered in words.");

    /// <summary>The linkId of a date question, or null with the fault added.</summary>
    internal string? Dated(JsonNode? node, string at) =>
        Find(node, at) is not { } question ? null : question.Kind == QuestionKind.Date ? question.LinkId : Fault<string>(at, $"{question.LinkId} does not ask for a date.");

    private int? Count(JsonNode? node, string at)
    {
        if (node is JsonValue value && value.TryGetValue<int>(out var number) && number is >= 1 and <= 3660) return number;
        doc.Fault(errors, at, "This must be a whole number from 1 to 3660.");
        return null;
    }

    private Question? Find(JsonNode? node, string at) =>
        (CandidacyReader.Text(node) is { } linkId ? questionnaire.Find(linkId) : null) ?? Fault<Question>(at, "The questionnaire has no such question.");

    private T? Fault<T>(string at, string reason) where T : class
    {
        doc.Fault(errors, at, reason);
        return null;
    }

    [GeneratedRegex("^[a-z0-9]+( [a-z0-9]+)*$")]
    private static partial Regex PlainWords();
}
