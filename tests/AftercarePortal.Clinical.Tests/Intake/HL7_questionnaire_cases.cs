using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Testing;
using AftercarePortal.Web.ContentFiles;
using Xunit;
using Xunit.Abstractions;

namespace AftercarePortal.Clinical.Tests.Intake;

/// <summary>The community's test cases, against the outcome of HL7's own validator.</summary>
public sealed class HL7_questionnaire_cases(ITestOutputHelper output)
{
    private static readonly string Folder = Path.Combine(OpenData.Folder, "fhir");

    [Theory]
    [Source("FHIR/fhir-test-cases @ 2dee8a0f8fa0, Apache 2.0", at: "questionnaire-cases/outcomes/java")]
    [InlineData("string-required")]
    [InlineData("string-invalid-type")]
    [InlineData("text-invalid-type")]
    [InlineData("date-invalid-type")]
    [InlineData("boolean-invalid-type")]
    [InlineData("integer-invalid-type")]
    [InlineData("choice-answer-option")]
    [InlineData("choice-answer-option-exclusive")]
    [InlineData("invalid-link-id")]
    [InlineData("group-with-string")]
    [InlineData("string")]
    public void A_response_is_refused_exactly_when_the_validator_refuses_it(string name)
    {
        if (Absent()) return;
        var cases = Path.Combine(Folder, "questionnaire-cases");
        var file = File.ReadAllText(Path.Combine(cases, "questionnaire", "brianpos", name + "-q.json"));
        var response = JsonNode.Parse(File.ReadAllText(Path.Combine(cases, "questionnaire", "brianpos", name + "-qr.json")))!.AsObject();
        var outcome = JsonNode.Parse(File.ReadAllText(Path.Combine(cases, "outcomes", "java", $"R4.{name}-qr-base.json")))!;
        var refused = (outcome["outcome"] ?? outcome)["issue"]!.AsArray().Any(i => i!["severity"]!.GetValue<string>() is "error" or "fatal");
        Assert.Equal(refused, Errors(file, response).Count > 0);
        // The twin: without the answers the validator names, the same reader accepts, so it does not refuse everything.
        response["item"] = new JsonArray();
        response["status"] = "in-progress";
        Assert.Empty(Errors(file, response));
    }

    [Fact]
    [Source("FHIR/fhir-test-cases @ 2dee8a0f8fa0, Apache 2.0", at: "questionnaire-cases/questionnaire-enableWhen-dw.json and its java outcome")]
    public void Several_conditions_without_a_behaviour_are_reported_where_the_validator_reports_them()
    {
        if (Absent()) return;
        var errors = new List<ContentError>();
        Assert.Null(QuestionnaireReader.Read(Ours(File.ReadAllText(Path.Combine(Folder, "questionnaire-cases", "questionnaire-enableWhen-dw.json"))), errors));
        Assert.Contains(errors, e => e.Path == "/item/3/enableBehavior");
        var outcome = File.ReadAllText(Path.Combine(Folder, "questionnaire-cases", "outcomes", "java", "R4.questionnaire-enableWhen-dw-base.json"));
        Assert.Contains("Questionnaire.item[3]", outcome);
    }

    private static List<string> Errors(string questionnaire, JsonObject response)
    {
        var document = Ours(questionnaire);
        var faults = new List<ContentError>();
        var read = QuestionnaireReader.Read(document, faults);
        Assert.True(read is not null, string.Join('\n', faults));
        var errors = new List<string>();
        QuestionnaireResponseReader.Read(response.ToJsonString(), read, document, errors);
        return errors;
    }

    // Ours must carry id, version, title and words, which FHIR leaves free; nothing else of a case is changed.
    private static ContentDocument Ours(string json)
    {
        var root = JsonNode.Parse(json)!.AsObject();
        root["id"] = "case";
        root["version"] = "1";
        root["title"] ??= "Case";
        root["status"] = "active";
        Word(root["item"]);
        return CandidacyContent.FromText("case.json", root.ToJsonString());
    }

    private static void Word(JsonNode? items)
    {
        foreach (var item in items as JsonArray ?? [])
        {
            item!["text"] ??= "Words";
            Word(item["item"]);
        }
    }

    private bool Absent()
    {
        if (Directory.Exists(Folder)) return false;
        const string Loud = "NOT CHECKED: the folder fhir is absent. Set AFTERCARE_OPEN_DATA to the open data folder.";
        output.WriteLine(Loud);
        Console.Error.WriteLine(Loud);
        return true;
    }
}
