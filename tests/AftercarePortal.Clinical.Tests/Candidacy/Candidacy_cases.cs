using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using NodaTime;
using NodaTime.Text;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Candidacy;

public sealed class Candidacy_cases
{
    private static readonly JsonArray Cases = (JsonArray)CandidacyContent.CasesFile.Root["cases"]!;

    public static TheoryData<string> Names => [.. Cases.Select(c => c!["case"]!.GetValue<string>())];

    [Theory]
    [MemberData(nameof(Names))]
    public void Each_case_gives_exactly_its_findings_in_order(string name)
    {
        var row = Cases.Single(c => c!["case"]!.GetValue<string>() == name)!;
        var findings = FindingsOf(row);
        Assert.Equal(
            row["expect"]!.AsArray().Select(e => Line(e!["rule"], e["finding"], e["earliest"], e["doubt"], e["stops"])),
            findings.All.Select(f => $"{f.RuleId} {Word(f.Kind)} {Day(f.Earliest)} {(f.FromDoubt ? "doubt" : "")} {(f.Stops ? "stops" : "")}"));
        if (row.AsObject().ContainsKey("earliest")) Assert.Equal(row["earliest"]?.GetValue<string>() ?? "", Day(findings.Earliest));
    }

    [Fact]
    public void Every_rule_speaks_for_certain_in_some_case() =>
        Assert.Empty(CandidacyContent.Rules.Rules.Select(r => r.Id).Except(Cases.SelectMany(c => FindingsOf(c!).All).Where(f => !f.FromDoubt).Select(f => f.RuleId)));

    private static Findings FindingsOf(JsonNode row) =>
        CandidacyContent.Rules.FindingsFor(CandidacyContent.AnswersOf(row["answers"]!.AsObject()), LocalDatePattern.Iso.Parse(row["today"]!.GetValue<string>()).Value);

    private static string Line(JsonNode? rule, JsonNode? finding, JsonNode? earliest, JsonNode? doubt, JsonNode? stops) =>
        $"{rule} {finding} {earliest} {(doubt?.GetValue<bool>() == true ? "doubt" : "")} {(stops?.GetValue<bool>() == true ? "stops" : "")}";

    private static string Word(FindingKind kind) => kind switch { FindingKind.ClearFirst => "clear-first", FindingKind.Wait => "wait", _ => "discuss" };

    private static string Day(LocalDate? date) => date is { } day ? LocalDatePattern.Iso.Format(day) : "";
}
