using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using NodaTime;
using NodaTime.Text;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Candidacy;

public sealed class Candidacy_cases
{
    private static readonly JsonArray Cases = (JsonArray)CandidacyContent.CasesFile.Root["cases"]!;

    // The order in which a finding's marks are written here.
    private static readonly string[] Marks = ["doubt", "stops", "before_visit", "covered"];

    public static TheoryData<string> Names => [.. Cases.Select(c => c!["case"]!.GetValue<string>())];

    [Theory]
    [MemberData(nameof(Names))]
    public void Each_case_gives_exactly_its_findings_in_order(string name)
    {
        var row = Cases.Single(c => c!["case"]!.GetValue<string>() == name)!;
        var findings = FindingsOf(row);
        Assert.Equal(
            row["expect"]!.AsArray().Select(e => $"{e!["rule"]} {e["finding"]} {e["earliest"]} {string.Join(' ', Marks.Where(m => e[m]?.GetValue<bool>() == true))}"),
            findings.All.Select(f => Line(f, "")).Concat(findings.Covered.Select(f => Line(f, "covered"))));
        if (row.AsObject().ContainsKey("earliest")) Assert.Equal(row["earliest"]?.GetValue<string>() ?? "", Day(findings.Earliest));
    }

    [Fact]
    public void There_are_at_least_a_hundred_and_fifty() => Assert.True(Cases.Count >= 150);

    [Fact]
    public void Every_rule_speaks_for_certain_in_some_case() =>
        Assert.Empty(CandidacyContent.Rules.Rules.Select(r => r.Id).Except(Cases.SelectMany(c => FindingsOf(c!).All.Concat(FindingsOf(c!).Covered)).Where(f => !f.FromDoubt).Select(f => f.RuleId)));

    private static Findings FindingsOf(JsonNode row) =>
        CandidacyContent.FindingsFor(CandidacyContent.AnswersOf(row["answers"]!.AsObject()), LocalDatePattern.Iso.Parse(row["today"]!.GetValue<string>()).Value);

    private static string Line(Finding f, string covered) =>
        $"{f.RuleId} {Word(f.Kind)} {Day(f.Earliest)} {string.Join(' ', new[] { f.FromDoubt ? "doubt" : "", f.Stops ? "stops" : "", f.EndsBefore is null ? "" : "before_visit", covered }.Where(m => m.Length > 0))}";

    private static string Word(FindingKind kind) => kind switch { FindingKind.ClearFirst => "clear-first", FindingKind.Wait => "wait", _ => "discuss" };

    private static string Day(LocalDate? date) => date is { } day ? LocalDatePattern.Iso.Format(day) : "";
}
