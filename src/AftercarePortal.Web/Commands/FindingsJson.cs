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

/// <summary>Writes findings as JSON, in UTF-8 from the first byte. What is still in its buffer goes out when it is disposed of.</summary>
internal sealed class FindingsJson : IDisposable
{
    private const int Full = 64 * 1024;
    private static readonly JavaScriptEncoder Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping;
    private static readonly JsonSerializerOptions Lists = new() { Encoder = Encoder };
    private static readonly byte[] LineEnd = Encoding.UTF8.GetBytes(Environment.NewLine);
    private readonly Stream output;
    private readonly ArrayBufferWriter<byte> buffer = new(2 * Full);
    private readonly Utf8JsonWriter json;
    private readonly Dictionary<string, JsonEncodedText> encoded = new(ReferenceEqualityComparer.Instance);
    private readonly Dictionary<object, byte[]> sources = new(ReferenceEqualityComparer.Instance);

    /// <param name="output">Where it goes; not closed.</param>
    /// <param name="indented">For a reader; otherwise one line.</param>
    public FindingsJson(Stream output, bool indented)
    {
        this.output = output;
        // What is written here is made fit by this class alone, so the writer need not check every value against the one before.
        json = new(buffer, new() { Indented = indented, Encoder = Encoder, SkipValidation = true });
    }

    /// <summary>What was found in one intake.</summary>
    public void Write(ContentVersion questionnaire, Findings findings, LocalDate today)
    {
        json.WriteStartObject();
        json.WriteString("version", findings.Version.ToString());
        json.WriteString("questionnaire", questionnaire.ToString());
        json.WriteString("today", LocalDatePattern.Iso.Format(today));
        json.WriteBoolean("stops", findings.Stops);
        Write(Names.Earliest, findings.Earliest);
        Write(Names.Findings, findings.All);
        Write(Names.Covered, findings.Covered);
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
        json.WriteStartObject();
        json.WriteNumber("line", line);
        json.WriteStartArray("errors");
        foreach (var error in errors) json.WriteStringValue(error);
        json.WriteEndArray();
        json.WriteEndObject();
    }

    /// <summary>Ends the line begun.</summary>
    public void EndLine()
    {
        json.Flush();
        json.Reset();
        buffer.Write(LineEnd);
        if (buffer.WrittenCount >= Full) PassOn();
    }

    /// <summary>Passes on what is still here.</summary>
    public void Dispose()
    {
        json.Dispose();
        PassOn();
        output.Flush();
    }

    private void PassOn()
    {
        output.Write(buffer.WrittenSpan);
        buffer.ResetWrittenCount();
    }

    private void Write(JsonEncodedText name, IReadOnlyList<Finding> findings)
    {
        json.WriteStartArray(name);
        foreach (var finding in findings) Write(finding);
        json.WriteEndArray();
    }

    private void Write(Finding finding)
    {
        json.WriteStartObject();
        json.WriteString(Names.Rule, Encoded(finding.RuleId));
        json.WriteString(Names.Finding, finding.Kind switch { FindingKind.ClearFirst => Names.ClearFirst, FindingKind.Wait => Names.Wait, _ => Names.Discuss });
        json.WriteString(Names.Says, Encoded(finding.Says));
        json.WriteString(Names.Reason, Encoded(finding.Reason));
        Write(Names.Earliest, finding.Earliest);
        json.WriteStartArray(Names.Because);
        foreach (var cause in finding.Causes) Write(cause);
        json.WriteEndArray();
        json.WriteBoolean(Names.FromDoubt, finding.FromDoubt);
        json.WriteBoolean(Names.Stops, finding.Stops);
        Write(Names.EndsBeforeVisit, finding.EndsBefore);
        json.WriteBoolean(Names.ForClinician, finding.ForClinician);
        json.WriteBoolean(Names.ClinicDecides, finding.ClinicDecides);
        json.WriteString(Names.Chosen, finding.Chosen);
        json.WritePropertyName(Names.Sources);
        json.WriteRawValue(Sources(finding.Citations), skipInputValidation: true);
        json.WriteEndObject();
    }

    private void Write(Cause cause)
    {
        json.WriteStartObject();
        json.WriteString(Names.Question, Encoded(cause.LinkId));
        json.WriteString(Names.Answer, cause.Answer switch { Answer.Given => Names.Given, Answer.NotSure => Names.NotSure, _ => Names.Skipped });
        json.WriteStartArray(Names.Values);
        foreach (var value in (cause.Answer as Answer.Given)?.Values ?? []) json.WriteStringValue(value);
        json.WriteEndArray();
        json.WriteEndObject();
    }

    private void Write(JsonEncodedText name, LocalDate? date)
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
