using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Commands;

/// <summary>Reads one filled intake and prints what to settle first.</summary>
internal static class FindingsCommand
{
    private const string Usage =
        """
        usage: findings [--today YYYY-MM-DD] [--lines] [--choose RULE=CHOICE]... < response.json > findings.json
        in:  one FHIR R4 QuestionnaireResponse to the lower-face questionnaire, at most 1,000,000 characters
        --lines   one response a line in, one line out, in order, any number; a line that is wrong gives {"line","errors"}
        out: {"version","questionnaire","today","stops","earliest","findings":[{"rule","finding","says","reason","earliest",
              "ends_before_visit","for_clinician","because":[{"question","answer","values"}],"from_doubt","stops","clinic_decides","chosen","sources":[{"id","grade","seen"}]}],
              "covered":[findings that another one says already],"caution"}
        --choose  what a clinic chose where practice differs (clinic_decides of the rule), for example vaccine-recent=two-weeks
        --today   the clinic's date to count from; without it the date of today
        exit codes: 0 ok, 1 the input or the content was bad, 2 usage
        Findings are flags for a clinician, who decides. No finding is no permission.
        """;

    private static readonly JsonSerializerOptions OneLine = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    private static readonly JsonSerializerOptions Written = new() { WriteIndented = true, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <param name="args">After the word <c>findings</c>.</param>
    /// <param name="input">The response.</param>
    /// <param name="output">The findings.</param>
    /// <param name="error">What was wrong; never what was answered.</param>
    /// <param name="contentFolder">Folder with <c>questionnaires</c> and <c>candidacy</c>.</param>
    /// <param name="today">The caller's date, used without <c>--today</c>.</param>
    internal static int Run(string[] args, TextReader input, TextWriter output, TextWriter error, string contentFolder, LocalDate today)
    {
        var lines = false;
        var choices = new Dictionary<string, string>(StringComparer.Ordinal);
        for (var i = 0; i < args.Length; i++)
        {
            switch (args[i])
            {
                case "--help" or "-h":
                    output.WriteLine(Usage);
                    return 0;
                case "--lines":
                    lines = true;
                    break;
                case "--choose" when i + 1 < args.Length && args[i + 1].Split('=') is [var rule, var choice]:
                    choices[rule] = choice;
                    i++;
                    break;
                case "--today" when i + 1 < args.Length && LocalDatePattern.Iso.Parse(args[i + 1]) is { Success: true } parsed:
                    today = parsed.Value;
                    i++;
                    break;
                default:
                    error.WriteLine(Usage);
                    return 2;
            }
        }

        if (Load(contentFolder, error) is not { } knowledge) return 1;
        foreach (var (rule, choice) in choices)
        {
            var offered = knowledge.Shelf.InForce.Rules.Rules.FirstOrDefault(r => r.Id == rule)?.Choices ?? [];
            if (offered.Any(c => c.Id == choice)) continue;
            error.WriteLine($"--choose {rule}={choice}: {(offered.Count == 0 ? "no rule of that name offers a choice." : $"this rule offers {string.Join(", ", offered.Select(c => c.Id))}.")}");
            return 2;
        }

        knowledge = knowledge with { Choices = choices };
        if (lines) return Many(knowledge, input, output, error, today);
        var wrong = new List<string>();
        var shown = Told(knowledge, new BoundedLines(input).ReadAll(), today, wrong);
        foreach (var line in wrong) error.WriteLine(line);
        if (shown is null) return 1;
        output.WriteLine(shown.ToJsonString(Written));
        return 0;
    }

    // Every line gives a line, so that nothing is lost and the two files can be laid side by side.
    private static int Many(Knowledge knowledge, TextReader input, TextWriter output, TextWriter error, LocalDate today)
    {
        var bad = 0;
        var reader = new BoundedLines(input);
        for (var number = 1; reader.ReadLine() is { } line; number++)
        {
            if (!line.TooLong && string.IsNullOrWhiteSpace(line.Text)) continue;
            var wrong = new List<string>();
            var shown = Told(knowledge, line, today, wrong)
                ?? new JsonObject { ["line"] = number, ["errors"] = new JsonArray([.. wrong.Select(w => JsonValue.Create(w))]) };
            bad += wrong.Count > 0 ? 1 : 0;
            output.WriteLine(shown.ToJsonString(OneLine));
        }

        if (bad > 0) error.WriteLine($"{bad} lines were wrong; each says so in its own line of the output.");
        return bad > 0 ? 1 : 0;
    }

    private static JsonObject? Told(Knowledge knowledge, BoundedLines.Line line, LocalDate today, List<string> wrong)
    {
        if (line.TooLong)
        {
            wrong.Add($"the response is longer than {BoundedLines.Longest} characters and was not read.");
            return null;
        }

        return QuestionnaireResponseReader.Read(line.Text, knowledge.Shelf, wrong) is var (rules, answers)
            ? Shown(rules, rules.Under(knowledge.Choices).FindingsFor(answers, today, knowledge.Lexicon.SignsIn(rules.Questionnaire, answers)), today)
            : null;
    }

    private sealed record Knowledge(CandidacyShelf Shelf, TriageLexicon Lexicon, IReadOnlyDictionary<string, string> Choices);

    private static Knowledge? Load(string folder, TextWriter error)
    {
        var errors = new List<ContentError>();
        var shelf = CandidacyShelf.Read(folder, errors);
        var lexicon = TriageReader.Load(folder, errors);
        foreach (var fault in errors.Distinct()) error.WriteLine(fault);
        return shelf is null || lexicon is null || errors.Count > 0 ? null : new(shelf, lexicon, new Dictionary<string, string>());
    }

    private static JsonObject Shown(CandidacyRules rules, Findings findings, LocalDate today) => new()
    {
        ["version"] = findings.Version.ToString(),
        ["questionnaire"] = rules.Questionnaire.Version.ToString(),
        ["today"] = LocalDatePattern.Iso.Format(today),
        ["stops"] = findings.Stops,
        ["earliest"] = Shown(findings.Earliest),
        ["findings"] = new JsonArray([.. findings.All.Select(Shown)]),
        ["covered"] = new JsonArray([.. findings.Covered.Select(Shown)]),
        ["caution"] = findings.All.Count == 0
            ? "Nothing you told us needs to be sorted out before the consultation; a clinician decides."
            : "These are points to settle with a clinician, who decides. Dates are to be confirmed by the clinic. Keep taking what was prescribed to you.",
    };

    private static JsonObject Shown(Finding finding) => new()
    {
        ["rule"] = finding.RuleId,
        ["finding"] = finding.Kind switch { FindingKind.ClearFirst => "clear-first", FindingKind.Wait => "wait", _ => "discuss" },
        ["says"] = finding.Says,
        ["reason"] = finding.Reason,
        ["earliest"] = Shown(finding.Earliest),
        ["because"] = new JsonArray([.. finding.Causes.Select(Shown)]),
        ["from_doubt"] = finding.FromDoubt,
        ["stops"] = finding.Stops,
        ["ends_before_visit"] = Shown(finding.EndsBefore),
        ["for_clinician"] = finding.ForClinician,
        ["clinic_decides"] = finding.ClinicDecides,
        ["chosen"] = finding.Chosen,
        ["sources"] = new JsonArray([.. finding.Citations.Select(c => new JsonObject { ["id"] = c.SourceId, ["grade"] = c.Grade.ToString(), ["seen"] = c.Seen })]),
    };

    private static JsonObject Shown(Cause cause) => new()
    {
        ["question"] = cause.LinkId,
        ["answer"] = cause.Answer switch { Answer.Given => "given", Answer.NotSure => "not-sure", _ => "skipped" },
        ["values"] = new JsonArray([.. (cause.Answer as Answer.Given)?.Values.Select(v => JsonValue.Create(v)) ?? []]),
    };

    private static JsonValue? Shown(LocalDate? date) => date is { } day ? JsonValue.Create(LocalDatePattern.Iso.Format(day)) : null;
}
