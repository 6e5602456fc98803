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
    private readonly JsonWriterOptions options = new() { Indented = indented, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };
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
        Write(json, "earliest", findings.Earliest);
        Write(json, "findings", findings.All);
        Write(json, "covered", findings.Covered);
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

    private static void Write(Utf8JsonWriter json, string name, IReadOnlyList<Finding> findings)
    {
        json.WriteStartArray(name);
        foreach (var finding in findings) Write(json, finding);
        json.WriteEndArray();
    }

    private static void Write(Utf8JsonWriter json, Finding finding)
    {
        json.WriteStartObject();
        json.WriteString("rule", finding.RuleId);
        json.WriteString("finding", finding.Kind switch { FindingKind.ClearFirst => "clear-first", FindingKind.Wait => "wait", _ => "discuss" });
        json.WriteString("says", finding.Says);
        json.WriteString("reason", finding.Reason);
        Write(json, "earliest", finding.Earliest);
        json.WriteStartArray("because");
        foreach (var cause in finding.Causes) Write(json, cause);
        json.WriteEndArray();
        json.WriteBoolean("from_doubt", finding.FromDoubt);
        json.WriteBoolean("stops", finding.Stops);
        Write(json, "ends_before_visit", finding.EndsBefore);
        json.WriteBoolean("for_clinician", finding.ForClinician);
        json.WriteBoolean("clinic_decides", finding.ClinicDecides);
        json.WriteString("chosen", finding.Chosen);
        json.WriteStartArray("sources");
        foreach (var source in finding.Citations)
        {
            json.WriteStartObject();
            json.WriteString("id", source.SourceId);
            json.WriteString("grade", source.Grade.ToString());
            json.WriteBoolean("seen", source.Seen);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void Write(Utf8JsonWriter json, Cause cause)
    {
        json.WriteStartObject();
        json.WriteString("question", cause.LinkId);
        json.WriteString("answer", cause.Answer switch { Answer.Given => "given", Answer.NotSure => "not-sure", _ => "skipped" });
        json.WriteStartArray("values");
        foreach (var value in (cause.Answer as Answer.Given)?.Values ?? []) json.WriteStringValue(value);
        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void Write(Utf8JsonWriter json, string name, LocalDate? date)
    {
        if (date is { } day) json.WriteString(name, LocalDatePattern.Iso.Format(day));
        else json.WriteNull(name);
    }
}
