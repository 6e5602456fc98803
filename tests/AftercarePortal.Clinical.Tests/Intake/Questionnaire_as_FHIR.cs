using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Testing;
using Firely.Fhir.Validation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Hl7.Fhir.Specification.Source;
using Hl7.Fhir.Specification.Terminology;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Intake;

/// <summary>The questionnaire against HL7's own definitions, by Firely's validator.</summary>
public sealed class Questionnaire_as_FHIR
{
    private static readonly Lazy<Validator> Judge = new(() =>
    {
        var source = new CachedResolver(ZipSource.CreateValidationSource());
        return new Validator(source, new LocalTerminologyService(source), null, null);
    });

    private static readonly FhirJsonDeserializer Reader = new(new DeserializerSettings().UsingMode(DeserializationMode.Strict));

    private static string Json => File.ReadAllText(Path.Combine(CandidacyContent.Folder, "questionnaires", "lower-face.v1.json"));

    [Fact]
    [Source("HL7 FHIR R4 (4.0.1) definitions, specification data package of Firely 6.8.0", at: "StructureDefinition Questionnaire and the extensions used")]
    public void It_is_a_valid_R4_questionnaire() => Assert.Empty(Faults(Json));

    [Theory]
    [Source("HL7 FHIR R4 (4.0.1) definitions", at: "Questionnaire.status, item.linkId, que-1 and que-2")]
    [InlineData("\"status\": \"draft\"", "\"status\": \"ready\"")]
    [InlineData("\"linkId\": \"sex\",", "\"linkId\": \"birth-date\",")]
    [InlineData("\"type\": \"choice\",", "\"type\": \"guess\",")]
    [InlineData("\"title\":", "\"heading\":")]
    public void The_validator_sees_what_is_wrong(string right, string wrong)
    {
        Assert.Contains(right, Json, StringComparison.Ordinal);
        var at = Json.IndexOf(right, StringComparison.Ordinal);
        Assert.NotEmpty(Faults(Json[..at] + wrong + Json[(at + right.Length)..]));
    }

    private static List<string> Faults(string json)
    {
        Resource resource;
        try
        {
            resource = Reader.DeserializeResource(json);
        }
        catch (DeserializationFailedException fault)
        {
            return [fault.Message];
        }

        return
        [
            .. Judge.Value.Validate(resource, null).Issue
                .Where(i => i.Severity is OperationOutcome.IssueSeverity.Error or OperationOutcome.IssueSeverity.Fatal)
                .Select(i => $"{string.Join(' ', i.Expression)}: {i.Details?.Text} {i.Diagnostics}"),
        ];
    }
}
