using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>What a mark beside a statement means, such as <c>S21, seen, grade C</c>.</summary>
/// <param name="Cites">What each id of the bibliography stands for.</param>
/// <param name="Meanings">A mark and its words, in the order they are explained.</param>
internal sealed partial record SourceMarks(IReadOnlyDictionary<string, string> Cites, IReadOnlyList<(string Mark, string Says)> Meanings)
{
    /// <summary>The marks and the entries of the bibliography that stand in these sources, in words.</summary>
    public IEnumerable<(string Mark, string Says)> Of(IEnumerable<string> sources)
    {
        List<string> shown = [.. sources.Distinct()];
        return Meanings.Where(m => shown.Exists(s => s.Contains(m.Mark, StringComparison.Ordinal)))
            .Concat(Cites.Where(c => shown.Exists(s => Word().Matches(s).Any(w => w.Value == c.Key))).Select(c => (c.Key, c.Value)));
    }

    /// <summary>Reads the bibliography; null, with faults added, where a grade is not explained.</summary>
    internal static SourceMarks? Read(ContentDocument bibliography, List<ContentError> errors)
    {
        var read = new FieldReader((at, reason) => bibliography.Fault(errors, at, reason));
        var before = errors.Count;
        List<(string Mark, string Says)> marks = [.. read.List(bibliography.Root["marks"], "/marks").Select((node, i) => (read.Mapping(node, $"/marks/{i}"), $"/marks/{i}")).Select(m => (read.Words(m.Item1["mark"], $"{m.Item2}/mark"), read.Words(m.Item1["says"], $"{m.Item2}/says")))];
        foreach (var grade in Enum.GetNames<Grade>().Where(g => !marks.Exists(m => m.Mark == $"grade {g}"))) read.Fault("/marks", $"grade {grade} is not explained.");
        var cites = CandidacyReader.ListOf(bibliography.Root["sources"]).OfType<JsonObject>().Where(s => CandidacyReader.Text(s["id"]) is not null).DistinctBy(s => CandidacyReader.Text(s["id"])).ToDictionary(s => CandidacyReader.Text(s["id"])!, s => CandidacyReader.Text(s["cite"]) ?? "");
        return errors.Count == before ? new(cites, marks) : null;
    }

    [GeneratedRegex("[A-Za-z0-9-]+")]
    private static partial Regex Word();
}
