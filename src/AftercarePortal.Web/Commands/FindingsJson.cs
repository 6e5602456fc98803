using System.Buffers;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Sources;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Commands;

/// <summary>Writes findings as JSON into one buffer that is used again for the next intake.</summary>
/// <param name="indented">For a reader; otherwise one line.</param>
internal sealed class FindingsJson(bool indented)
{
    private readonly ArrayBufferWriter<byte> buffer = new(16 * 1024);
    private static readonly JavaScriptEncoder Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping;
    private static readonly JsonSerializerOptions Lists = new() { Encoder = Encoder };
    private readonly JsonWriterOptions options = new() { Indented = indented, Encoder = Encoder };
    private readonly Dictionary<string, JsonEncodedText> encoded = new(ReferenceEqualityComparer.Instance);
    private readonly Dictionary<object, byte[]> sources = new(ReferenceEqualityComparer.Instance);
    private char[] characters = [];

    /// <summary>What was found in one intake.</summary>
    public void Write(ContentVersion questionnaire, Findings findings, LocalDate today)
    {
        using var json = Fresh();
        json.WriteStartObject();
        json.WriteString("version", findings.Version.ToString());
        json.WriteString("questionnaire", questionnaire.ToString());
        json.WriteString("today", LocalDatePattern.Iso.Format(today));
        json.WriteBoolean("stops", findings.Stops);
        Write(json, Names.Earliest, findings.Earliest);
        Write(json, Names.Findings, findings.All);
        Write(json, Names.Covered, findings.Covered);
        json.WriteString("caution", findings.All.Count == 0
            ? "Nothing you told us needs to be sorted out before the consultation; a clinician decides."
            : "These are points to settle with a clinician, who decides. Dates are to be confirmed by the clinic. Keep taking what was prescribed to you.");
        json.WriteEndObject();
    }

    /// <summary>A line that could not be read.</summary>
    /// <param name="line">Counted from 1.</param>
    /// <param name="errors">What was wrong with it, with places.</param>
    public void Write(int line, IReadOnlyList<string> errors)
    {
        using var json = Fresh();
        json.WriteStartObject();
        json.WriteNumber("line", line);
        json.WriteStartArray("errors");
        foreach (var error in errors) json.WriteStringValue(error);
        json.WriteEndArray();
        json.WriteEndObject();
    }

    /// <summary>Passes on what was written, and a line end.</summary>
    public void WriteLine(TextWriter output)
    {
        if (characters.Length < buffer.WrittenCount) characters = new char[buffer.WrittenCount * 2];
        output.Write(characters, 0, Encoding.UTF8.GetChars(buffer.WrittenSpan, characters));
        output.WriteLine();
    }

    private Utf8JsonWriter Fresh()
    {
        buffer.ResetWrittenCount();
        return new(buffer, options);
    }

    private void Write(Utf8JsonWriter json, JsonEncodedText name, IReadOnlyList<Finding> findings)
    {
        json.WriteStartArray(name);
        foreach (var finding in findings) Write(json, finding);
        json.WriteEndArray();
    }

    private void Write(Utf8JsonWriter json, Finding finding)
    {
        json.WriteStartObject();
        json.WriteString(Names.Rule, Encoded(finding.RuleId));
        json.WriteString(Names.Finding, finding.Kind switch { FindingKind.ClearFirst => Names.ClearFirst, FindingKind.Wait => Names.Wait, _ => Names.Discuss });
        json.WriteString(Names.Says, Encoded(finding.Says));
        json.WriteString(Names.Reason, Encoded(finding.Reason));
        Write(json, Names.Earliest, finding.Earliest);
        json.WriteStartArray(Names.Because);
        foreach (var cause in finding.Causes) Write(json, cause);
        json.WriteEndArray();
        json.WriteBoolean(Names.FromDoubt, finding.FromDoubt);
        json.WriteBoolean(Names.Stops, finding.Stops);
        Write(json, Names.EndsBeforeVisit, finding.EndsBefore);
        json.WriteBoolean(Names.ForClinician, finding.ForClinician);
        json.WriteBoolean(Names.ClinicDecides, finding.ClinicDecides);
        json.WriteString(Names.Chosen, finding.Chosen);
        json.WritePropertyName(Names.Sources);
        json.WriteRawValue(Sources(finding.Citations), skipInputValidation: true);
        json.WriteEndObject();
    }

    private void Write(Utf8JsonWriter json, Cause cause)
    {
        json.WriteStartObject();
        json.WriteString(Names.Question, Encoded(cause.LinkId));
        json.WriteString(Names.Answer, cause.Answer switch { Answer.Given => Names.Given, Answer.NotSure => Names.NotSure, _ => Names.Skipped });
        json.WriteStartArray(Names.Values);
        foreach (var value in (cause.Answer as Answer.Given)?.Values ?? []) json.WriteStringValue(value);
        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void Write(Utf8JsonWriter json, JsonEncodedText name, LocalDate? date)
    {
        if (date is { } day) json.WriteString(name, LocalDatePattern.Iso.Format(day));
        else json.WriteNull(name);
    }

    // What a rule says is the same text for every intake: it is made fit for JSON once.
    private JsonEncodedText Encoded(string text)
    {
        if (!encoded.TryGetValue(text, out var known)) encoded[text] = known = JsonEncodedText.Encode(text, Encoder);
        return known;
    }

    private byte[] Sources(IReadOnlyList<Citation> citations)
    {
        if (sources.TryGetValue(citations, out var known)) return known;
        var text = JsonSerializer.SerializeToUtf8Bytes(citations.Select(source => new { id = source.SourceId, grade = source.Grade.ToString(), seen = source.Seen }), Lists);
        sources[citations] = text;
        return text;
    }

    private static class Names
    {
        public static readonly JsonEncodedText Rule = Of("rule"), Finding = Of("finding"), Says = Of("says"), Reason = Of("reason"), Earliest = Of("earliest"), Because = Of("because"),
            FromDoubt = Of("from_doubt"), Stops = Of("stops"), EndsBeforeVisit = Of("ends_before_visit"), ForClinician = Of("for_clinician"), ClinicDecides = Of("clinic_decides"),
            Chosen = Of("chosen"), Sources = Of("sources"), Question = Of("question"), Answer = Of("answer"), Values = Of("values"), Findings = Of("findings"), Covered = Of("covered"),
            ClearFirst = Of("clear-first"), Wait = Of("wait"), Discuss = Of("discuss"), Given = Of("given"), NotSure = Of("not-sure"), Skipped = Of("skipped");

        private static JsonEncodedText Of(string name) => JsonEncodedText.Encode(name);
    }
}
