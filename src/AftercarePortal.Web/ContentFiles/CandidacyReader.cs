using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;
using NodaTime.Text;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Reads candidacy rules and checks every question and answer they name against the questionnaire.</summary>
internal static partial class CandidacyReader
{
    private static readonly string[] RuleKeys =
        ["id", "says", "says_if_unknown", "stops", "applies", "when", "finding", "if_unknown", "earliest", "clinic_decides", "covers", "for_clinician", "reason", "sources", "es"];

    /// <summary>Null, with every fault added, when a rule cannot be used exactly as it stands.</summary>
    /// <param name="doc">The file.</param>
    /// <param name="questionnaire">The questions, in the language wanted.</param>
    /// <param name="errors">Where faults are added.</param>
    /// <param name="language">Language of the patient's words: a key beside each rule's own words; null for the file's own.</param>
    internal static CandidacyRules? Read(ContentDocument doc, Questionnaire questionnaire, List<ContentError> errors, string? language = null)
    {
        var before = errors.Count;
        ReadHeader(doc, questionnaire, errors);
        var conditions = new ConditionReader(doc, questionnaire, errors);
        var classes = new Dictionary<ProductClass, Condition>();
        foreach (var (name, node) in doc.Root["classes"] as JsonObject ?? [])
        {
            if (ClassOf(name) is { } product && conditions.Read(node, $"/classes/{name}") is { } when) classes[product] = when;
            else doc.Fault(errors, $"/classes/{name}", "This needs the name of a product class and a condition.");
        }
        var rules = new List<CandidacyRule>();
        var rows = doc.Root["rules"] as JsonArray ?? [];
        if (rows.Count == 0) doc.Fault(errors, "/rules", "At least one rule is needed.");
        for (var i = 0; i < rows.Count; i++)
        {
            if (rows[i] is not JsonObject row) doc.Fault(errors, $"/rules/{i}", "A rule is a mapping.");
            else if (ReadRule(doc, conditions, row, $"/rules/{i}", errors, language) is { } rule)
            {
                if (rules.Any(r => r.Id == rule.Id)) doc.Fault(errors, $"/rules/{i}/id", $"The id {rule.Id} stands twice.");
                rules.Add(rule);
            }
        }
        for (var i = 0; i < rules.Count && errors.Count == before; i++)
            foreach (var covered in rules[i].Covers)
                if (rules.Find(r => r.Id == covered) is not { } other || other == rules[i] || other.Kind < rules[i].Kind || other.Covers.Contains(rules[i].Id))
                    doc.Fault(errors, $"/rules/{i}/covers", $"{covered} must be another rule, never a stronger one, and not cover this one in turn.");
        var visit = doc.Root["visit"] is null ? null : conditions.Dated(doc.Root["visit"], "/visit");
        return errors.Count == before ? new(doc.Version, questionnaire, classes, visit, rules) : null;
    }

    /// <summary>The same rules with the patient's words in every language of the pages.</summary>
    internal static Dictionary<string, CandidacyRules> ReadTranslations(ContentDocument questions, ContentDocument rules, CandidacyRules own, List<ContentError> errors)
    {
        var all = new Dictionary<string, CandidacyRules> { [PageWords.Languages[0]] = own };
        foreach (var language in PageWords.Languages.Skip(1))
            if (QuestionnaireReader.Read(questions, errors, language) is { } asked && Read(rules, asked, errors, language) is { } said) all[language] = said;
        return all;
    }

    private static void ReadHeader(ContentDocument doc, Questionnaire questionnaire, List<ContentError> errors)
    {
        if (Text(doc.Root["status"]) is not ("draft" or "published" or "withdrawn")) doc.Fault(errors, "/status", "The status is draft, published or withdrawn.");
        if (!LocalDatePattern.Iso.Parse(Text(doc.Root["effective"]) ?? "").Success) doc.Fault(errors, "/effective", "This must be a date, YYYY-MM-DD.");
        foreach (var key in (string[])["language", "says", "not_for"])
            if (string.IsNullOrWhiteSpace(Text(doc.Root[key]))) doc.Fault(errors, "/" + key, "The header needs these words.");
        if (doc.Root["signed_by"] is not JsonObject signed) doc.Fault(errors, "/signed_by", "The header says who signed it: name, role and date, or null for nobody yet.");
        else if (Text(doc.Root["status"]) == "published" && (Text(signed["name"]) is null || Text(signed["role"]) is null || Text(signed["date"]) is null))
            doc.Fault(errors, "/signed_by", "A published file is signed with name, role and date.");
        if (Text(doc.Root["questionnaire"]) != questionnaire.Version.ToString()) doc.Fault(errors, "/questionnaire", $"The questionnaire at hand is {questionnaire.Version}.");
    }

    /// <summary>Null, with every fault added, when it is no rule about these questions.</summary>
    internal static CandidacyRule? ReadRule(ContentDocument doc, ConditionReader conditions, JsonObject row, string at, List<ContentError> errors, string? language)
    {
        var before = errors.Count;
        foreach (var key in row.Select(p => p.Key).Except(RuleKeys)) doc.Fault(errors, $"{at}/{key}", "A rule has no such key.");
        var id = Text(row["id"]) ?? "";
        if (!RuleId().IsMatch(id)) doc.Fault(errors, at + "/id", "A rule needs an id of small letters, digits and hyphens.");
        foreach (var key in (string[])["says", "reason"])
            if (string.IsNullOrWhiteSpace(Text(row[key]))) doc.Fault(errors, $"{at}/{key}", "A rule needs these words.");
        if (row["says_if_unknown"] is not null && string.IsNullOrWhiteSpace(Text(row["says_if_unknown"]))) doc.Fault(errors, at + "/says_if_unknown", "This must be words.");
        var kind = KindOf(row["finding"]);
        if (kind is null) doc.Fault(errors, at + "/finding", "A finding is clear-first, wait or discuss.");
        var doubt = row["if_unknown"] is null ? kind : KindOf(row["if_unknown"]);
        if (doubt is null || doubt > kind) doc.Fault(errors, at + "/if_unknown", "Doubt asks for clear-first, wait or discuss, and never for less than the rule.");
        var applies = new List<ProductClass>();
        foreach (var (node, i) in ListOf(row["applies"]).Select((n, i) => (n, i)))
        {
            if (ClassOf(Text(node)) is { } product) applies.Add(product);
            else doc.Fault(errors, $"{at}/applies/{i}", "No product class is called so.");
        }
        var when = conditions.Read(row["when"], at + "/when");
        var earliest = row["earliest"] is null ? null : conditions.ReadEarliest(row["earliest"], at + "/earliest");
        var stops = Flag(doc, row, "stops", at, errors);
        if (earliest is not null && kind != FindingKind.Wait && !stops) doc.Fault(errors, at + "/earliest", "Only a wait, or a stop, has an earliest date.");
        // true, or a list of what the clinic may choose instead.
        var decides = row["clinic_decides"] is JsonArray { Count: > 0 } || Flag(doc, row, "clinic_decides", at, errors);
        var citations = ReadSources(doc, row["sources"], at + "/sources", errors);
        string[] covers = [.. ListOf(row["covers"]).Select(n => Text(n) ?? "")];
        if (when is not null && Condition.LeavesDoubtOut(when) && (kind != FindingKind.Discuss || covers.Length > 0))
            doc.Fault(errors, at + "/when", "Doubt may be left out (certain) only by a rule that is to be discussed and covers no other: anything stronger must also speak when an answer is missing.");
        var forClinician = Flag(doc, row, "for_clinician", at, errors);
        var words = language is null ? row : row[language] as JsonObject;
        if (!forClinician && (words is null || string.IsNullOrWhiteSpace(Text(words["says"])) || (row["says_if_unknown"] is not null && string.IsNullOrWhiteSpace(Text(words["says_if_unknown"])))))
            doc.Fault(errors, $"{at}/{language ?? "says"}", $"These words are not translated into {language ?? "the language of the file"}.");
        var choices = (row["clinic_decides"] as JsonArray ?? []).Select((n, i) => ReadChoice(doc, conditions, row, n as JsonObject ?? [], $"{at}/clinic_decides/{i}", errors, language)).ToList();
        foreach (var twice in choices.OfType<RuleChoice>().GroupBy(c => c.Id).Where(g => g.Count() > 1)) doc.Fault(errors, at + "/clinic_decides", $"The choice {twice.Key} stands twice.");
        return errors.Count == before
            ? new CandidacyRule(id, Text((words ?? row)["says"]) ?? Text(row["says"])!, Text((words ?? row)["says_if_unknown"]), Text(row["reason"])!, applies, when!, kind!.Value, doubt!.Value, earliest, stops, decides, citations, covers, forClinician) { Choices = [.. choices.OfType<RuleChoice>()] }
            : null;
    }

    // The rule with the choice's own keys in the place of its keys.
    private static RuleChoice? ReadChoice(ContentDocument doc, ConditionReader conditions, JsonObject rule, JsonObject choice, string at, List<ContentError> errors, string? language)
    {
        var id = Text(choice["id"]) ?? "";
        var means = Text(choice["means"]);
        if (!RuleId().IsMatch(id) || string.IsNullOrWhiteSpace(means)) { doc.Fault(errors, at, "A choice needs an id of small letters, digits and hyphens, and says what it means."); return null; }
        if (choice.Count == 2) doc.Fault(errors, at, "A choice changes something of its rule: its words, when, finding or earliest.");
        if ((choice["says"] is null) != (choice["es"] is null)) doc.Fault(errors, at, "A choice with words of its own has them in every language.");
        var whole = rule.DeepClone().AsObject();
        whole["clinic_decides"] = true;
        foreach (var (key, value) in choice.Where(p => p.Key is not ("id" or "means"))) whole[key] = value?.DeepClone();
        return ReadRule(doc, conditions, whole, at, errors, language) is { } read ? new(id, means, read with { Chosen = means }) : null;
    }

    private static List<Citation> ReadSources(ContentDocument doc, JsonNode? node, string at, List<ContentError> errors)
    {
        var citations = new List<Citation>();
        if (node is not JsonArray { Count: > 0 } rows) { doc.Fault(errors, at, "A rule needs at least one source."); return citations; }
        for (var i = 0; i < rows.Count; i++)
        {
            var row = rows[i] as JsonObject;
            if (Text(row?["id"]) is { Length: > 0 } id && Text(row?["grade"]) is ("R" or "A" or "B" or "C" or "D") and var grade
                && row?["seen"] is JsonValue flag && flag.TryGetValue<bool>(out var seen)) citations.Add(new(id, Enum.Parse<Grade>(grade), seen));
            else doc.Fault(errors, $"{at}/{i}", "A source is an id, a grade R, A, B, C or D, and seen true or false.");
        }
        return citations;
    }

    private static bool Flag(ContentDocument doc, JsonObject row, string key, string at, List<ContentError> errors)
    {
        if (row[key] is null) return false;
        if (row[key] is JsonValue value && value.TryGetValue<bool>(out var flag)) return flag;
        doc.Fault(errors, $"{at}/{key}", "This must be true or false.");
        return false;
    }

    internal static FindingKind? KindOf(JsonNode? node) => Text(node) switch
    {
        "clear-first" => FindingKind.ClearFirst,
        "wait" => FindingKind.Wait,
        "discuss" => FindingKind.Discuss,
        _ => null,
    };

    private static ProductClass? ClassOf(string? name) =>
        Enum.GetValues<ProductClass>().Where(c => c.Name().ToLowerInvariant().Replace(' ', '-') == name).Select(c => (ProductClass?)c).FirstOrDefault();

    internal static IEnumerable<JsonNode?> ListOf(JsonNode? node) => node switch { null => [], JsonArray array => array, _ => Enumerable.Repeat<JsonNode?>(node, 1) };

    internal static string? Text(JsonNode? node) => node is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;

    [GeneratedRegex("^[a-z0-9]+(-[a-z0-9]+)*$")]
    private static partial Regex RuleId();
}
