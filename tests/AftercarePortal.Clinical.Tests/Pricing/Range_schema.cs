using System.Text.Json;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Web.Commands;
using Json.Schema;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Range_schema
{
    private const string Whole = """
        {"today":"2026-11-25","answers":{"birth-date":"1981-05-04","sex":"not-sure","weight-change":false,"tooth-loss":null},"wishes":{"wish-regions":["jaw-angle","chin","neck-bands"],"wish-product":"unsure"},
         "prices":{"currency":"JPY","fillers":{"caha-filler":{"unit_ml":1.5,"tolerance_ml":0.1,"first":90000,"next":85000},"ha-filler":{"unit_ml":1,"tolerance_ml":0.1,"first":60000}},"toxin_unit":1800,"session":45000,"fee":0,"tax_basis_points":1000,
           "packages":[{"id":"two","name":{"en":"two syringes","es":"dos jeringas"},"of":"caha-filler","units":2,"price":160000,"regions":["chin"]},{"id":"course","name":{"en":"three sessions","es":"tres sesiones"},"of":"session","units":3,"price":120000}]},
         "exam":{"laxity":2,"bone":null,"gonial_left":121.5,"gonial_right":127,"filler_here":true,"resistance":1},
         "cases":[{"id":"one","on":"2026-10-01","product":"caha-filler","answers":{"birth-date":"1980-01-01","sex":"male"},"amounts":[{"region":"chin","ml":1.4}],"exam":{"laxity":1},"injector":"a"}],
         "promised":0.9,"past_scores":[0.1,0.2],"injector":"b"}
        """;

    private const string Numbers = """
        {"nu":null,"s2":1,"s_theta":0.04,"tau_u":0.2,"tau_w":0.15,"tau_e":0.1,"asym_k":[1],"pG":[1],"pB":[1],"pA":[1],"dG":[0],"dB":[0],
         "products":[{"id":"ha-1.0","size":1.0,"tol":0.1,"price":45000,"regions":[{"id":"chin","m":0.0,"sides":1,"v":0.0225}]}]}
        """;

    [Theory]
    [InlineData(Whole, "in", "out")]
    [InlineData("""{"wishes":{"wish-regions":["chin"]}}""", "in", "out")]
    [InlineData("""{"wishes":{"wish-regions":["neck-bands"]}}""", "in", "out")]
    [InlineData("""{"answers":{}}""", "in", "cannot_say_yet")]
    [InlineData("""{"wishes":{"wish-regions":["chin"]},"exam":{"gonial_left":12,"gonial_right":120}}""", "in", "cannot_say_yet")]
    [InlineData(Numbers, "numbers_in", "numbers_out")]
    public void What_goes_in_and_what_comes_out_fits_the_schema(string given, string inward, string outward)
    {
        using StringWriter output = new(), error = new();
        Assert.True(RangeCommand.Run([], new StringReader(given), output, error, CandidacyContent.Folder, new LocalDate(2026, 11, 25)) == 0, error.ToString());
        Fits(given, inward);
        Fits(output.ToString(), outward);
    }

    [Theory]
    [InlineData("\"promised\":0.9", "\"promised\":1.5")]
    [InlineData("\"ml\":1.4", "\"ml\":-1")]
    [InlineData("\"sex\":\"not-sure\"", "\"sex\":7")]
    [InlineData("\"currency\":\"JPY\"", "\"currency\":\"yen\"")]
    [InlineData("\"units\":2", "\"units\":1")]
    [InlineData("\"price\":160000", "\"price\":0")]
    [InlineData("\"es\":\"dos jeringas\"", "\"fr\":\"deux\"")]
    public void What_the_command_refuses_the_schema_refuses(string whole, string bent)
    {
        var wrong = Whole.Replace(whole, bent, StringComparison.Ordinal);
        Assert.NotEqual(Whole, wrong);
        Assert.False(Of("in").Evaluate(JsonDocument.Parse(wrong).RootElement).IsValid);
        Assert.Equal(1, RangeCommand.Run([], new StringReader(wrong), TextWriter.Null, TextWriter.Null, CandidacyContent.Folder, new LocalDate(2026, 11, 25)));
    }

    private static void Fits(string text, string part)
    {
        var result = Of(part).Evaluate(JsonDocument.Parse(text).RootElement, new() { OutputFormat = OutputFormat.List });
        Assert.True(result.IsValid, string.Join("; ", (result.Details ?? []).Where(d => d.Errors is { Count: > 0 }).Select(d => $"{d.InstanceLocation} {string.Join(", ", d.Errors!.Select(e => e.Value))}")));
    }

    // One part alone, so that an input cannot pass for an output.
    private static JsonSchema Of(string part)
    {
        var whole = JsonNode.Parse(File.ReadAllText(Path.Combine(TriageContent.Root, "docs", "range.schema.json")))!.AsObject();
        whole.Remove("anyOf");
        whole["$ref"] = $"#/$defs/{part}";
        return JsonSchema.FromText(whole.ToJsonString());
    }
}
