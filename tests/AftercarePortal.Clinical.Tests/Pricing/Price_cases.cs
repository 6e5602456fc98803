using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Web.ContentFiles;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Price_cases
{
    private static readonly ContentDocument File = CandidacyContent.Load("pricing", "lower-face-model.v1.cases.yaml");

    public static TheoryData<string> Names => [.. File.Root["cases"]!.AsArray().Select(c => c!["case"]!.GetValue<string>())];

    [Theory]
    [MemberData(nameof(Names))]
    public void Each_case_comes_to_what_it_says(string name)
    {
        var row = File.Root["cases"]!.AsArray().Single(c => c!["case"]!.GetValue<string>() == name)!;
        var expect = row["expect"]!.AsObject();
        var given = new Dictionary<string, string[]>();
        foreach (var (linkId, value) in File.Root["base"]!.AsObject().Concat(row["answers"]!.AsObject()))
        {
            string[] values = value is JsonArray many ? [.. many.Select(v => v!.GetValue<string>())] : [value!.GetValue<string>()];
            if (values is ["skipped"]) given.Remove(linkId);
            else given[linkId] = values;
        }

        if (expect["because"] is { } because)
        {
            Assert.Equal([because.GetValue<string>()], PricingContent.Refused(given));
            return;
        }

        var range = PricingContent.Range(given);
        Assert.Equal(
            (Whole(expect, "from"), Whole(expect, "to"), Whole(expect, "at_most"), expect["first_reason"]!.GetValue<string>(), expect["staged"]!.GetValue<bool>()),
            (range.Central.From.Minor / 100, range.Central.To.Minor / 100, range.AtMost.Minor / 100, range.Reasons[0].Id, range.Notes.Count > 0));
        Assert.Equal(expect["open"]!.AsArray().Select(id => PricingContent.Model.Words.Questions[id!.GetValue<string>()]), range.LeftOpen);
    }

    private static long Whole(JsonObject expect, string key) => expect[key]!.GetValue<int>();
}
