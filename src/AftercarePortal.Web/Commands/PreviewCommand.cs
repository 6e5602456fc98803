using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Intake;
using NodaTime;

namespace AftercarePortal.Web.Commands;

/// <summary>Walks the questionnaire as one person does, shows what that person and the clinician read, and runs every case.</summary>
internal static class PreviewCommand
{
    private const string Usage =
        """
        usage: content preview [FOLDER] [--case NAME] [--language en|es]
        Prints the questions one person is asked, one page after the other, with what that person answered; then what the person reads,
        and what the clinician reads besides. Without --case it is the person of whom nothing flags. Then it runs every case.
        --case      name of a case, or the beginning of one; the names are printed when none fits
        exit codes: 0 the cases come out as written, 1 not so or the content has faults, 2 wrong use
        """;

    internal static int Run(string[] args, TextWriter output, TextWriter error, string folder)
    {
        if (args.Contains("--help") || args.Contains("-h")) { output.WriteLine(Usage); return 0; }
        var (name, language) = ((string?)null, PageWords.Languages[0]);
        var folders = new List<string>();
        for (var i = 0; i < args.Length; i++)
        {
            if (args[i] == "--case" && i + 1 < args.Length) name = args[++i];
            else if (args[i] == "--language" && i + 1 < args.Length && PageWords.Languages.Contains(args[i + 1])) language = args[++i];
            else if (!args[i].StartsWith('-')) folders.Add(args[i]);
            else { error.WriteLine(Usage); return 2; }
        }

        if (folders.Count > 1) { error.WriteLine(Usage); return 2; }
        folder = folders.FirstOrDefault() ?? folder;
        var errors = new List<ContentError>();
        var loaded = CandidacyCases.Load(folder, errors);
        foreach (var fault in errors) error.WriteLine(fault);
        if (loaded is not var (content, cases)) return 1;
        if (cases.PersonOf(name) is not { } person)
        {
            error.WriteLine($"No case begins with these words. There are:\n  {string.Join("\n  ", cases.Names)}");
            return 2;
        }

        Walk(content, content.Shelf.InForce.ByLanguage[language].Under(person.Choices), content.Pages[language], person, output);
        cases.Check(errors);
        foreach (var fault in errors) error.WriteLine(fault);
        output.WriteLine($"{cases.Names.Count} cases, {CandidacyCases.Different(errors)} of them come out otherwise.");
        return errors.Count == 0 ? 0 : 1;
    }

    private static void Walk(ContentLibrary content, CandidacyRules rules, PageWords say, CandidacyCases.Person person, TextWriter output)
    {
        var asked = rules.Questionnaire.AskedGiven(person.Answers);
        output.WriteLine($"{person.Name}, on {AnswerWords.OfDate(person.Today, say)}. Questions {rules.Questionnaire.Version}, rules {rules.Version}: asked {asked.Count} of {rules.Questionnaire.Questions.Count}.\n");
        foreach (var (question, number) in asked.Select((q, i) => (q, i + 1))) Page(question, number, person.Answers[question.LinkId], say, output);
        var findings = rules.FindingsFor(person.Answers, person.Today, content.Lexicon.SignsIn(rules.Questionnaire, person.Answers));
        Finding[] read = [.. findings.All.Where(f => !f.ForClinician)];
        output.WriteLine($"== {say["result"]}");
        output.WriteLine(say["result-caution"]);
        if (read.Length == 0) output.WriteLine(say["nothing"]);
        foreach (var (kind, key) in new[] { (FindingKind.ClearFirst, "clear-first"), (FindingKind.Wait, "wait"), (FindingKind.Discuss, "discuss") })
            foreach (var (finding, i) in read.Where(f => f.Kind == kind).Select((f, i) => (f, i)))
            {
                if (i == 0) output.WriteLine($"{say[key]}:");
                output.WriteLine($"  - {finding.Says}{(finding.Earliest is { } day ? $" {say["earliest"]} {AnswerWords.OfDate(day, say)}." : "")}{(finding.FromDoubt ? $" ({say["doubt"]})" : "")}");
            }

        output.WriteLine("\n== The clinician reads besides");
        foreach (var finding in findings.All.Concat(findings.Covered))
            output.WriteLine($"  - {finding.RuleId}{(finding.Chosen is { } chosen ? $" (the clinic chose: {chosen})" : "")}: {finding.Reason} [{string.Join(", ", finding.Citations.Select(c => $"{c.SourceId} {c.Grade}{(c.Seen ? "" : " from memory")}"))}]{(findings.Covered.Contains(finding) ? " Said to the person by another finding." : "")}{(finding.ForClinician ? " Not shown to the person." : "")}");
        output.WriteLine();
    }

    private static void Page(Question question, int number, Answer answer, PageWords say, TextWriter output)
    {
        output.WriteLine($"{number}. {question.Text}");
        if (question.WhyWeAsk.Length > 0) output.WriteLine($"   {question.WhyWeAsk}");
        var given = (answer as Answer.Given)?.Values ?? [];
        foreach (var option in question.Options) output.WriteLine($"   [{(given.Contains(option.Code) ? "x" : " ")}] {option.Text}");
        output.WriteLine($"   > {AnswerWords.Of(question, answer, say)}\n");
    }
}
