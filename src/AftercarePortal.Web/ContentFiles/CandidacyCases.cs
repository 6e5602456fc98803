using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Triage;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>The cases beside the candidacy rules: people and situations, and exactly what must come of them.</summary>
internal sealed class CandidacyCases(ContentDocument doc, CandidacyRules rules, TriageLexicon lexicon)
{
    /// <summary>Marks of an expected finding, in the order they are written here.</summary>
    private static readonly string[] Marks = ["doubt", "stops", "before_visit", "covered"];

    private readonly JsonArray rows = doc.Root["cases"] as JsonArray ?? [];

    /// <summary>One person of the cases.</summary>
    internal sealed record Person(string Name, LocalDate Today, Answers Answers, IReadOnlyDictionary<string, string> Choices);

    /// <summary>The content of a folder with the cases of the rules in force; null, with every fault added, when one cannot be used.</summary>
    internal static (ContentLibrary Content, CandidacyCases Cases)? Load(string folder, List<ContentError> errors)
    {
        if (ContentLibrary.Read(folder, errors) is not { } content) return null;
        var path = Path.Combine(folder, "candidacy", $"lower-face.v{content.Candidacy.Version.Number}.cases.yaml");
        if (!File.Exists(path)) errors.Add(new($"candidacy/{Path.GetFileName(path)}", 1, 1, "/", "The rules in force need their cases, and this file is not there. Copy the cases of the version before."));
        return errors.Count == 0 && ContentDocument.Load(path, errors) is { } cases ? (content, new(cases, content.Candidacy, content.Lexicon)) : null;
    }

    /// <summary>The first case whose name begins so, or the person of whom nothing flags; null when no name does.</summary>
    internal Person? PersonOf(string? name)
    {
        if ((name is null ? rows.FirstOrDefault() : rows.FirstOrDefault(r => (CandidacyReader.Text(r?["case"]) ?? "").StartsWith(name, StringComparison.OrdinalIgnoreCase))) is not JsonObject row) return null;
        var day = LocalDatePattern.Iso.Parse(CandidacyReader.Text(row["today"]) ?? "");
        var changes = name is null ? [] : row["answers"] as JsonObject ?? [];
        return day.Success && AnswersOf(changes, "", []) is { } answers ? new(name is null ? "Somebody of whom nothing flags" : CandidacyReader.Text(row["case"])!, day.Value, answers, name is null ? new Dictionary<string, string>() : ChoicesOf(row)) : null;
    }

    /// <summary>Names of all cases.</summary>
    public IReadOnlyList<string> Names => [.. rows.Select(r => CandidacyReader.Text(r?["case"]) ?? "")];

    /// <summary>Ids of the rules some case expects.</summary>
    public IReadOnlySet<string> Expected =>
        rows.SelectMany(r => CandidacyReader.ListOf(r?["expect"])).Select(e => CandidacyReader.Text(e?["rule"]) ?? "").ToHashSet(StringComparer.Ordinal);

    /// <summary>The clinic's choices some case is about, as <c>rule as choice</c>.</summary>
    public IReadOnlySet<string> Choices => rows.SelectMany(r => ChoicesOf(r)).Select(c => $"{c.Key} as {c.Value}").ToHashSet(StringComparer.Ordinal);

    /// <summary>One fault a case that comes out otherwise, with what was expected and what came.</summary>
    public void Check(List<ContentError> errors)
    {
        for (var i = 0; i < rows.Count; i++)
        {
            var at = $"/cases/{i}";
            if (rows[i] is not JsonObject row || LocalDatePattern.Iso.Parse(CandidacyReader.Text(row["today"]) ?? "") is not { Success: true } today) { doc.Fault(errors, at, "A case needs its day (today)."); continue; }
            if (AnswersOf(row["answers"] as JsonObject ?? [], at, errors) is not { } answers) continue;
            var choices = ChoicesOf(row);
            foreach (var wrong in choices.Where(c => !rules.Rules.Any(r => r.Id == c.Key && r.Choices.Any(way => way.Id == c.Value)))) doc.Fault(errors, $"{at}/choices/{wrong.Key}", $"The rule {wrong.Key} offers no choice called {wrong.Value}.");
            var findings = rules.Under(choices).FindingsFor(answers, today.Value, lexicon.SignsIn(rules.Questionnaire, answers));
            string[] wanted = [.. CandidacyReader.ListOf(row["expect"]).Select(e => $"{e?["rule"]} {e?["finding"]} {e?["earliest"]} {string.Join(' ', Marks.Where(m => e?[m] is JsonValue v && v.TryGetValue<bool>(out var set) && set))}")];
            string[] came = [.. findings.All.Select(f => Line(f, false)), .. findings.Covered.Select(f => Line(f, true))];
            if (!wanted.SequenceEqual(came)) doc.Fault(errors, at, $"{Names[i]}: expected and did not come [{string.Join("; ", wanted.Except(came))}], came and was not expected [{string.Join("; ", came.Except(wanted))}]{(wanted.Order(StringComparer.Ordinal).SequenceEqual(came.Order(StringComparer.Ordinal)) ? ": the order differs" : "")}.");
            if (row.ContainsKey("earliest") && (CandidacyReader.Text(row["earliest"]) ?? "") != Day(findings.Earliest)) doc.Fault(errors, at, $"The earliest day came out as [{Day(findings.Earliest)}].");
        }
    }

    /// <summary>How many cases these faults are about: one case may come out otherwise in two ways.</summary>
    public static int Different(IEnumerable<ContentError> faults) => faults.Select(f => f.Path.Split('/').ElementAtOrDefault(2)).Distinct().Count();

    private static Dictionary<string, string> ChoicesOf(JsonNode? row) => (row?["choices"] as JsonObject ?? []).ToDictionary(p => p.Key, p => CandidacyReader.Text(p.Value) ?? "");

    /// <summary>The base intake with some answers changed; null, with the fault added, when a case names no question.</summary>
    private Answers? AnswersOf(JsonObject changes, string at, List<ContentError> errors)
    {
        var answers = new Dictionary<string, Answer>();
        foreach (var (linkId, value) in (doc.Root["base"] as JsonObject ?? []).Concat(changes))
        {
            if (rules.Questionnaire.Find(linkId) is null) { doc.Fault(errors, $"{at}/answers/{linkId}", "The questionnaire has no such question."); return null; }
            if (value is JsonArray many) answers[linkId] = new Answer.Given([.. many.Select(v => CandidacyReader.Text(v) ?? "")]);
            else if (CandidacyReader.Text(value) is not { } word || word == "not-asked") answers.Remove(linkId);
            else answers[linkId] = word switch { "skipped" => new Answer.Skipped(), "not-sure" => new Answer.NotSure(), _ => new Answer.Given(word) };
        }

        return new(answers);
    }

    private static string Line(Finding f, bool covered)
    {
        var kind = f.Kind switch { FindingKind.ClearFirst => "clear-first", FindingKind.Wait => "wait", _ => "discuss" };
        string[] marks = [f.FromDoubt ? "doubt" : "", f.Stops ? "stops" : "", f.EndsBefore is null ? "" : "before_visit", covered ? "covered" : ""];
        return $"{f.RuleId} {kind} {Day(f.Earliest)} {string.Join(' ', marks.Where(m => m.Length > 0))}";
    }

    private static string Day(LocalDate? date) => date is { } day ? LocalDatePattern.Iso.Format(day) : "";
}
