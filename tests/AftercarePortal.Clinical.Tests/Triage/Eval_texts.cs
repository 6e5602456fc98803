using AftercarePortal.Testing;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using Xunit;
using Xunit.Abstractions;

namespace AftercarePortal.Clinical.Tests.Triage;

/// <summary>Floors on the invented development texts: an engineering check, not clinical evidence.</summary>
public sealed class Eval_texts(ITestOutputHelper output)
{
    [Fact]
    public void Emergencies_are_read_and_ordinary_texts_page_nobody_often()
    {
        var file = Path.Combine(OpenData.Folder, "triage-eval", "dev.jsonl");
        if (!File.Exists(file))
        {
            output.WriteLine("NOT CHECKED: triage-eval/dev.jsonl is absent. Set AFTERCARE_OPEN_DATA to the open data folder.");
            Console.Error.WriteLine("NOT CHECKED: triage-eval/dev.jsonl is absent. Set AFTERCARE_OPEN_DATA to the open data folder.");
            return;
        }
        var rows = File.ReadLines(file).Where(l => l.Length > 0).Select(l => JsonNode.Parse(l)!).Select(r => (
            Id: r["id"]!.GetValue<string>(), Label: r["tier"]!.GetValue<string>(), Text: r["text"]!.GetValue<string>(), Day: r["day"]!.GetValue<int>(),
            Products: r["product"]!.GetValue<string>().Split(" + ").Select(p => ProductClassNames.Parse(p)!.Value).ToArray())).ToArray();
        var read = rows.Select(r => (r.Id, r.Label, r.Text, Reading: TriageContent.Lexicon.Read(r.Text, new(r.Day, r.Products, 0)))).ToArray();
        int Of(string label) => read.Count(r => r.Label == label);
        var emergency = read.Count(r => r.Label == "emergency" && r.Reading.Tier == Tier.Emergency);
        var kept = read.Count(r => r.Label is "emergency" or "urgent" && r.Reading.Tier >= Tier.Urgent);
        var low = read.Where(r => r.Reading.Tier < (r.Label switch { "emergency" => Tier.Emergency, "urgent" => Tier.Urgent, "same-day" => Tier.SameDay, _ => Tier.Routine })).ToArray();
        var over = read.Where(r => r.Label is "routine" or "admin" or "unrelated" && r.Reading.Tier >= Tier.Urgent).ToArray();
        var ordinary = Of("routine") + Of("admin") + Of("unrelated");
        output.WriteLine($"emergency {emergency}/{Of("emergency")}, kept {kept}/{Of("emergency") + Of("urgent")}, low {low.Length}, over {over.Length}/{ordinary}");
        foreach (var r in low.Concat(over)) output.WriteLine($"{r.Label} > {r.Reading.Tier} {r.Id} {r.Text} [{string.Join(' ', r.Reading.Clues.Select(c => c.ConceptId + ":" + c.Status))}|{string.Join(',', r.Reading.Floors)}]");
        Assert.True(emergency >= 0.95 * Of("emergency"));
        Assert.True(kept >= 0.97 * (Of("emergency") + Of("urgent")));
        Assert.True(over.Length <= 0.15 * ordinary);
    }
}
