using System.Text.RegularExpressions;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Web.Tests.ContentFiles;

/// <summary>Does what docs/content/how-to-change-a-rule.md says, word by word: what is changed to what is read from the page itself.</summary>
public sealed partial class How_to_change_a_rule : IDisposable
{
    private const string Rules = "candidacy/lower-face.v2.yaml", Cases = "candidacy/lower-face.v2.cases.yaml";
    private static readonly string Page = File.ReadAllText(Path.Combine(Top(), "docs", "content", "how-to-change-a-rule.md"));
    private readonly Content_copy copy = new();

    public void Dispose() => copy.Dispose();

    [Fact]
    public void A_clinician_who_follows_the_page_ends_with_a_signed_rule_that_counts_from_its_day()
    {
        // 2 and 3
        var raise = Told(@"In both copies change `(.+?)` to `(.+?)`");
        foreach (var file in (string[])["yaml", "cases.yaml"]) copy.Next($"candidacy/lower-face.v1.{file}", $"candidacy/lower-face.v2.{file}", (raise[1], raise[2]));
        copy.Change(Rules, "effective: 2026-12-01", Told(@"for example `(effective: .+?)`")[1]);
        var id = Told(@"look for `(id: .+?)`")[1];
        foreach (Match step in Regex.Matches(Page, @"first line below it that begins with `(.+?)` change `(.+?)` to `(.+?)`")) Line(id, step.Groups[1].Value, 0, step.Groups[2].Value, step.Groups[3].Value);
        // 4
        var says = Told(@"begins with `(says:)` write `(.+?)` instead of `(.+?)`");
        Line(id, says[1], 0, says[3], says[2]);
        var spanish = Told(@"in the line below `(es:)` write `(.+?)` instead of `(.+?)`");
        Line(id, spanish[1], 1, spanish[3], spanish[2]);
        // 5
        Assert.Contains($"`{Check()}`", Page);
        // 6
        var (code, report, faults) = Report();
        Assert.Equal(1, code);
        var counted = Regex.Match(report, @"(\d+) cases, 15 of them come out otherwise");
        Assert.True(counted.Success, report);
        using (StringWriter seen = new(), error = new())
        {
            Assert.Equal(1, PreviewCommand.Run([copy.Folder, "--case", Told(@"--case ""(.+?)""")[1]], seen, error, copy.Folder));
            Assert.Contains("After a vaccine, filler waits 4 weeks.", seen.ToString());
        }

        // 7
        var lines = File.ReadAllLines(copy.At(Cases));
        foreach (var fault in faults.Split('\n').Select(l => FaultOfCase().Match(l)).Where(m => m.Success)) lines[int.Parse(fault.Groups[1].Value) - 1] = AsItCame(lines[int.Parse(fault.Groups[1].Value) - 1], fault.Groups[2].Value);
        File.WriteAllLines(copy.At(Cases), [.. lines, Told(@"`(  - \{ case: Zoe .+?)`\n")[1]]);
        // 8
        (code, report, faults) = Report();
        Assert.Equal("", faults);
        Assert.Equal(0, code);
        Assert.Contains($"{int.Parse(counted.Groups[1].Value) + 1} cases, 0 of them come out otherwise", report);
        // 10
        copy.Change(Rules, "name: null, role: null, date: null", "name: Iris Hale, role: responsible clinician, date: 2027-01-20");
        copy.Change(Rules, "status: draft", "status: published");
        Check();
        var shelf = ContentLibrary.Load(copy.Folder).Shelf;
        Assert.Equal(2, shelf.On(new(2027, 2, 1)).Rules.Version.Number);
    }

    // What came is a rule, a kind, perhaps a day, and marks: written as a case writes it.
    private static string AsItCame(string line, string said)
    {
        if (Regex.Match(said, @"The earliest day came out as \[(.+?)\]") is { Success: true } day) return Regex.Replace(line, @"earliest: [0-9-]+, expect:", $"earliest: {day.Groups[1].Value}, expect:");
        var came = Regex.Match(said, @"came and was not expected \[(\S+) (\S+) (\S+) ?(.*?)\]").Groups;
        var marks = string.Concat(came[4].Value.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(m => $", {m}: true"));
        var entry = $"{{ rule: {came[1].Value}, finding: {came[2].Value}, earliest: {came[3].Value}{marks} }}";
        var there = new Regex($@"\{{ rule: {came[1].Value},[^}}]*\}}");
        return there.IsMatch(line) ? there.Replace(line, entry) : line.Replace("expect: []", $"expect: [{entry}]", StringComparison.Ordinal);
    }

    private string Check()
    {
        var (code, said, faults) = copy.Check();
        Assert.Equal((0, ""), (code, faults));
        return said.Trim();
    }

    private (int Code, string Said, string Faults) Report()
    {
        using StringWriter output = new(), error = new();
        return (RulesCommand.Run([copy.Folder], output, error, copy.Folder), output.ToString(), error.ToString());
    }

    // The first line below the rule's id that begins so, or one further down.
    private void Line(string id, string begins, int below, string right, string other)
    {
        var lines = File.ReadAllLines(copy.At(Rules));
        var at = Array.FindIndex(lines, Array.FindIndex(lines, l => l.Contains(id, StringComparison.Ordinal)), l => l.TrimStart().StartsWith(begins, StringComparison.Ordinal)) + below;
        Assert.Contains(right, lines[at]);
        lines[at] = lines[at].Replace(right, other, StringComparison.Ordinal);
        File.WriteAllLines(copy.At(Rules), lines);
    }

    private static string[] Told(string pattern)
    {
        var match = Regex.Match(Page, pattern);
        Assert.True(match.Success, $"The page does not say: {pattern}");
        return [.. match.Groups.Values.Select(g => g.Value)];
    }

    private static string Top()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(folder!.FullName, "AftercarePortal.sln"))) folder = folder.Parent;
        return folder.FullName;
    }

    [GeneratedRegex(@"lower-face\.v2\.cases\.yaml:(\d+):\d+: (.*)")]
    private static partial Regex FaultOfCase();
}
