using System.Text.Json.Nodes;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Words of a FHIR resource, in its own language or in a translation (extension <c>translation</c>).</summary>
internal sealed class FhirWords(ContentDocument doc, List<ContentError> errors, string? language)
{
    internal const string Exclusive = "http://hl7.org/fhir/StructureDefinition/questionnaire-optionExclusive";
    internal const string MaxValue = "http://hl7.org/fhir/StructureDefinition/maxValue";
    internal const string ItemControl = "http://hl7.org/fhir/StructureDefinition/questionnaire-itemControl";
    internal const string MinValue = "http://hl7.org/fhir/StructureDefinition/minValue";
    internal const string Expression = "http://hl7.org/fhir/StructureDefinition/cqf-expression";
    private const string Translation = "http://hl7.org/fhir/StructureDefinition/translation";

    /// <summary>One element's words; empty, with the fault added, when they are missing in the language asked for.</summary>
    /// <param name="parent">The object that holds the element.</param>
    /// <param name="key">Its key, for example <c>text</c>.</param>
    /// <param name="at">Pointer of <paramref name="parent"/>.</param>
    /// <param name="missing">What to say when there are none at all.</param>
    internal string Of(JsonObject parent, string key, string at, string missing)
    {
        if (Text(parent[key]) is not { } own || string.IsNullOrWhiteSpace(own))
        {
            doc.Fault(errors, $"{at}/{key}", missing);
            return "";
        }

        if (language is null) return own;
        var translated = ((parent["_" + key] as JsonObject)?["extension"] as JsonArray ?? []).OfType<JsonObject>()
            .Where(e => Text(e["url"]) == Translation && PartOf(e, "lang", "valueCode") == language)
            .Select(e => PartOf(e, "content", "valueString")).FirstOrDefault();
        if (!string.IsNullOrWhiteSpace(translated)) return translated;
        doc.Fault(errors, $"{at}/{key}", $"These words are not translated into {language}.");
        return "";
    }

    /// <summary>A string value, or null.</summary>
    internal static string? Text(JsonNode? node) => node is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;

    private static string? PartOf(JsonObject extension, string url, string value) =>
        (extension["extension"] as JsonArray ?? []).OfType<JsonObject>().Where(p => Text(p["url"]) == url).Select(p => Text(p[value])).FirstOrDefault();
}
