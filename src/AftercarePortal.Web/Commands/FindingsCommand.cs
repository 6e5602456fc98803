using AftercarePortal.Clinical.Candidacy;
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

    /// <param name="args">After the word <c>findings</c>.</param>
    /// <param name="input">The response.</param>
    /// <param name="output">The findings, in UTF-8; not closed.</param>
    /// <param name="error">What was wrong; never what was answered.</param>
    /// <param name="contentFolder">Folder with <c>questionnaires</c> and <c>candidacy</c>.</param>
    /// <param name="today">The caller's date, used without <c>--today</c>.</param>
    internal static int Run(string[] args, TextReader input, Stream output, TextWriter error, string contentFolder, LocalDate today)
    {
        var lines = false;
        var choices = new Dictionary<string, string>(StringComparer.Ordinal);
        for (var i = 0; i < args.Length; i++)
        {
            switch (args[i])
            {
                case "--help" or "-h":
                    using (var words = new StreamWriter(output, leaveOpen: true)) words.WriteLine(Usage);
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
            var offered = knowledge.Shelf.On(today).Rules.Rules.FirstOrDefault(r => r.Id == rule)?.Choices ?? [];
            if (offered.Any(c => c.Id == choice)) continue;
            error.WriteLine($"--choose {rule}={choice}: {(offered.Count == 0 ? "no rule of that name offers a choice." : $"this rule offers {string.Join(", ", offered.Select(c => c.Id))}.")}");
            return 2;
        }

        var clinic = new Dictionary<object, CandidacyRules>(ReferenceEqualityComparer.Instance);
        foreach (var edition in knowledge.Shelf.Editions) clinic[edition.Rules] = edition.Rules.Under(choices);
        knowledge = knowledge with { Clinic = clinic };
        if (lines) return Many(knowledge, input, output, error, today);
        var wrong = new List<string>();
        using var json = new FindingsJson(output, indented: true);
        var told = Told(knowledge, new BoundedLines(input).ReadAll(), today, json, wrong);
        foreach (var line in wrong) error.WriteLine(line);
        if (!told) return 1;
        json.EndLine();
        return 0;
    }

    // Every line gives a line, so that nothing is lost and the two files can be laid side by side.
    private static int Many(Knowledge knowledge, TextReader input, Stream output, TextWriter error, LocalDate today)
    {
        var bad = 0;
        var reader = new BoundedLines(input);
        using var json = new FindingsJson(output, indented: false);
        for (var number = 1; reader.ReadLine() is { } line; number++)
        {
            if (!line.TooLong && string.IsNullOrWhiteSpace(line.Text)) continue;
            var wrong = new List<string>();
            if (!Told(knowledge, line, today, json, wrong))
            {
                bad++;
                json.Write(number, wrong);
            }

            json.EndLine();
        }

        if (bad > 0) error.WriteLine($"{bad} lines were wrong; each says so in its own line of the output.");
        return bad > 0 ? 1 : 0;
    }

    private static bool Told(Knowledge knowledge, BoundedLines.Line line, LocalDate today, FindingsJson json, List<string> wrong)
    {
        if (line.TooLong)
        {
            wrong.Add($"the response is longer than {BoundedLines.Longest} characters and was not read.");
            return false;
        }

        if (QuestionnaireResponseReader.Read(line.Text, knowledge.Shelf, today, wrong) is not var (rules, answers)) return false;
        json.Write(rules.Questionnaire.Version, knowledge.Clinic[rules].FindingsFor(answers, today, knowledge.Lexicon.SignsIn(rules.Questionnaire, answers)), today);
        return true;
    }

    /// <param name="Clinic">The rules as the clinic practises them, by the rules as content has them.</param>
    private sealed record Knowledge(CandidacyShelf Shelf, TriageLexicon Lexicon, IReadOnlyDictionary<object, CandidacyRules> Clinic);

    private static Knowledge? Load(string folder, TextWriter error)
    {
        var errors = new List<ContentError>();
        var shelf = CandidacyShelf.Read(folder, errors);
        var lexicon = TriageReader.Load(folder, errors);
        foreach (var fault in errors.Distinct()) error.WriteLine(fault);
        return shelf is null || lexicon is null || errors.Count > 0 ? null : new(shelf, lexicon, new Dictionary<object, CandidacyRules>());
    }
}
