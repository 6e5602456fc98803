using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed partial class Price_in_Spanish
{
    private static readonly ContentDocument File = CandidacyContent.Load("pricing", "lower-face-model.v1.cases.yaml");
    private static readonly PriceWords Spanish = PricingContent.Model.Translations["es"];

    public static TheoryData<string> Names => [.. File.Root["cases"]!.AsArray().Where(c => c!["expect"]!["from"] is not null).Select(c => c!["case"]!.GetValue<string>())];

    [Theory]
    [MemberData(nameof(Names))]
    public void Says_every_sentence_in_Spanish_and_changes_no_figure(string name)
    {
        var given = new Dictionary<string, string[]>();
        foreach (var (linkId, value) in File.Root["base"]!.AsObject().Concat(File.Root["cases"]!.AsArray().Single(c => c!["case"]!.GetValue<string>() == name)!["answers"]!.AsObject()))
        {
            string[] values = value is JsonArray many ? [.. many.Select(v => v!.GetValue<string>())] : [value!.GetValue<string>()];
            if (values is ["skipped"]) given.Remove(linkId);
            else given[linkId] = values;
        }

        var range = PricingContent.Range(given);
        var said = range.In(PricingContent.Model.Words, Spanish);
        string[] before = [.. Sentences(range)], after = [.. Sentences(said)];
        Assert.Equal(before.Length, after.Length);
        for (var i = 0; i < before.Length; i++)
        {
            Assert.NotEqual(before[i], after[i]);
            Assert.DoesNotMatch(@"\{|\b(the|of|to|with|your|visit|if it is chosen)\b", after[i]);
            Assert.Equal(Figures().Matches(before[i]).Select(m => m.Value).Order(), Figures().Matches(after[i]).Select(m => m.Value).Order());
        }

        Assert.Equal((range.Central, range.AtMost, range.Chances, range.Bars), (said.Central, said.AtMost, said.Chances, said.Bars));
    }

    [Fact]
    public void Leaves_a_sentence_of_another_version_as_it_was()
    {
        var range = PricingContent.Range(new() { ["birth-date"] = ["1981-05-04"], ["wish-regions"] = ["jaw-body"] });
        var older = range with { Notes = ["An older note."], LeftOpen = ["an older name"], Reasons = [new("older", 1, "An older reason.")] };
        var said = older.In(PricingContent.Model.Words, Spanish);
        Assert.Equal(("An older note.", "an older name", "An older reason."), (said.Notes[0], said.LeftOpen[0], said.Reasons[0].Says));
    }

    private static IEnumerable<string> Sentences(PriceRange range) =>
        [.. range.Reasons.Select(r => r.Says), .. range.Lines.Select(l => l.Says), .. range.Narrowings.Select(n => n.Says), .. range.LeftOpen, .. range.Notes];

    [GeneratedRegex(@"\d+(\.\d+)?")]
    private static partial Regex Figures();
}
