using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Web.Commands;

/// <summary>Shows the questions, runs the cases and says what the candidacy rules read and miss.</summary>
internal static class RulesCommand
{
    private const string Usage =
        """
        usage: content rules [FOLDER] [--questions]
        Runs every case of the candidacy rules and reports: rules without a case, rules that can never speak, answers no rule reads,
        pairs that say the same twice or contradict each other. --questions prints the questionnaire as it is asked.
        exit codes: 0 the cases come out as written and no rule is dead or contradicted, 1 not so, 2 wrong use
        """;

    internal static int Run(string[] args, TextWriter output, TextWriter error, string folder)
    {
        if (args.Contains("--help") || args.Contains("-h")) { output.WriteLine(Usage); return 0; }
        var rest = args.Where(a => a != "--questions").ToArray();
        if (rest.Length > 1 || rest.Any(a => a.StartsWith('-'))) { error.WriteLine(Usage); return 2; }
        if (rest is [var other]) folder = other;
        var errors = new List<ContentError>();
        if (CandidacyCases.Load(folder, errors) is not var (content, all))
        {
            foreach (var fault in errors) error.WriteLine(fault);
            return 1;
        }

        if (args.Contains("--questions")) Print(content.Candidacy.Questionnaire, output);
        all.Check(errors);
        foreach (var fault in errors) error.WriteLine(fault);
        var coverage = RuleCoverage.Of(content.Candidacy);
        string[] untried = [.. content.Candidacy.Rules.Select(r => r.Id).Where(id => !all.Expected.Contains(id))];
        output.WriteLine($"{content.Candidacy.Rules.Count} rules, {content.Candidacy.Questionnaire.Questions.Count} questions, {all.Names.Count} cases, {CandidacyCases.Different(errors)} of them come out otherwise.");
        Tell(output, "rules without a case", untried);
        string[] unchosen = [.. content.Candidacy.Rules.SelectMany(r => r.Choices.Select(c => $"{r.Id} as {c.Id}")).Where(way => !all.Choices.Contains(way))];
        Tell(output, "choices of a clinic without a case", unchosen);
        Tell(output, "rules that can never speak (decided)", coverage.NeverFires);
        Tell(output, "rules with too many intakes to decide", coverage.NotDecided);
        Tell(output, "pairs that contradict each other", [.. coverage.Contradictions.Select(p => $"{p.First} and {p.Second}")]);
        Tell(output, "pairs said twice: whenever the first speaks, so does the second", [.. coverage.SaidTwice.Select(p => $"{p.First}, then {p.Second}")]);
        Tell(output, "answers no rule reads", coverage.UnreadAnswers);
        Tell(output, "questions no rule reads (they may serve the price or the clinician)", coverage.UnreadQuestions);
        return errors.Count + untried.Length + unchosen.Length + coverage.NeverFires.Count + coverage.Contradictions.Count == 0 ? 0 : 1;
    }

    private static void Tell(TextWriter output, string what, IReadOnlyList<string> lines)
    {
        output.WriteLine($"{lines.Count} {what}");
        foreach (var line in lines) output.WriteLine($"  {line}");
    }

    private static void Print(Questionnaire questionnaire, TextWriter output)
    {
        foreach (var question in questionnaire.Questions)
        {
            output.WriteLine($"{question.LinkId} ({question.Name}): {question.Text}");
            output.WriteLine($"    why: {question.WhyWeAsk}");
            if (question.AskedWhen.Count > 0) output.WriteLine($"    asked only after: {string.Join(question.AskedWhenAll ? " and " : " or ", question.AskedWhen.Select(w => $"{w.LinkId} = {w.Code}"))}");
            foreach (var option in question.Options) output.WriteLine($"    - {option.Code}: {option.Text}");
        }

        output.WriteLine();
    }
}
