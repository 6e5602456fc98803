using System.Text.RegularExpressions;
using Xunit;

namespace AftercarePortal.Web.Tests.Safety;

/// <summary>Every control in the hazard log names the test that shows it, and that test is there.</summary>
public sealed partial class Hazard_log
{
    private static readonly string Top = Above(AppContext.BaseDirectory);
    private static readonly Lazy<IReadOnlyList<string>> Sources =
        new(() => [.. Directory.EnumerateFiles(Path.Combine(Top, "tests"), "*.cs", SearchOption.AllDirectories).Where(f => !f.Contains("/obj/", StringComparison.Ordinal)).Select(File.ReadAllText)]);

    public static TheoryData<string> Named => [.. Names(File.ReadAllText(Path.Combine(Top, "docs", "safety", "hazard-log.md")))];

    [Theory]
    [MemberData(nameof(Named))]
    public void Names_a_test_that_exists(string name) => Assert.True(Exists(name), name);

    [Theory]
    [InlineData("Hazard_log.A_sentence_nobody_wrote")]
    [InlineData("A_class_nobody_wrote")]
    [InlineData("tests/A_folder_nobody_made")]
    public void The_rule_above_can_fail(string name) => Assert.False(Exists(name));

    [Fact]
    public void Every_row_names_a_test()
    {
        var rows = File.ReadLines(Path.Combine(Top, "docs", "safety", "hazard-log.md")).Where(l => l.StartsWith("| H", StringComparison.Ordinal)).ToList();
        Assert.NotEmpty(rows);
        Assert.All(rows, row => Assert.True(row.Trim().EndsWith("| same |", StringComparison.Ordinal) || Names(row).Any(), row));
    }

    private static IEnumerable<string> Names(string text) =>
        text.Split('\n').Where(l => l.StartsWith("| H", StringComparison.Ordinal)).Select(l => l.TrimEnd(' ', '|').Split('|')[^1]).SelectMany(cell => Quoted().Matches(cell)).Select(m => m.Groups[1].Value).Distinct();

    private static bool Exists(string name)
    {
        if (name.StartsWith("tests/", StringComparison.Ordinal)) return Directory.Exists(Path.Combine(Top, name));
        var (type, sentence) = name.Split('.') is [var t, var s] ? (t, s) : (name, null);
        return Sources.Value.Any(source =>
            Regex.IsMatch(source, $@"\bclass {Regex.Escape(type)}\b")
            && (sentence is null ? source.Contains("[Fact]", StringComparison.Ordinal) || source.Contains("[Theory]", StringComparison.Ordinal)
                : Regex.IsMatch(source, $@"\[(Fact|Theory)\](\s*\[[^\n]*)*\s*public (async Task|void) {Regex.Escape(sentence)}\(")));
    }

    private static string Above(string folder)
    {
        for (var here = new DirectoryInfo(folder); here is not null; here = here.Parent)
            if (File.Exists(Path.Combine(here.FullName, "AftercarePortal.sln"))) return here.FullName;
        throw new InvalidOperationException("No folder above the tests holds AftercarePortal.sln.");
    }

    [GeneratedRegex("`([A-Za-z][A-Za-z0-9_./]+)`")]
    private static partial Regex Quoted();
}
