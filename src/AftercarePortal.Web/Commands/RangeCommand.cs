using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Commands.Simulation;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Shared;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Commands;

/// <summary>Works out one price range, or compares the engine with a file of price vectors.</summary>
internal static class RangeCommand
{
    private const string Usage =
        """
        usage: range < case.json > range.json
               range --svg < case.json > range.svg
               range check FILE
               range simulate [--clinics N] [--patients N] [--seed N] [--generator A|B|C]
        in:  {"today","answers":{linkId: code, [codes], true, false or null},"wishes":{the same},
              "prices":{"currency","fillers":{code:{"unit_ml","tolerance_ml","first","next"}},"toxin_unit","session","fee","tax_basis_points",
                        "packages":[{"id","name":{"en","es"},"of","units","price","regions"}]},
              "figures":{"cases","nu","s2","parameters","mean","covariance"},
              "exam":{"laxity","bone","side_difference","gonial_left","gonial_right","filler_here","resistance"},
              "cases":[{"id","on","product","answers":{linkId: code},"amounts":[{"region","ml"}],"exam":{},"injector"}],
              "promised","past_scores":[],"injector"}
             Only "answers" or "wishes" is needed: prices are else the demo list, figures a clinic's without cases.
             exam: levels a clinician found, 0 the mildest; angles of the jaw in degrees; filler_here true or false. cases: completed treatments the figures are learned from, instead of figures. promised: share the range is to hold, 0.5 to 0.95 (0.8); past_scores: nested scores of completed quotes, which may widen it. Schema: docs/range.schema.json. Money is in minor units.
             A question left out, null or "not-sure" leaves all its answers possible.
         or  the "input" of a price vector (nu, s2, s_theta, tau_u ...): engine numbers without words
        out: {"central","at_most","promised","mass_inside","says","lines","packages","reasons","narrows","left_open","notes","quantiles","atoms","bars","caution"},
             {"cannot_say_yet":[reasons]}, or the figures of a price vector
        --svg        the drawing instead, as patients see it; of a patient-side case only
        check FILE   runs every vector of the file (price, posterior, helpers, outside); one line each with the largest difference
        simulate     tries the method on invented clinics beside simpler rules (range simulate --help)
        exit codes: 0 ok, 1 the input or the content was bad or a vector failed, 2 usage
        A range is information, not an offer.
        """;

    private static readonly JsonSerializerOptions Written = new() { WriteIndented = true, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <param name="args">After the word <c>range</c>.</param>
    /// <param name="input">The case.</param>
    /// <param name="output">The range.</param>
    /// <param name="error">What was wrong, by field; never what was answered.</param>
    /// <param name="contentFolder">The content.</param>
    /// <param name="today">The caller's date, used when the case has none.</param>
    internal static int Run(string[] args, TextReader input, TextWriter output, TextWriter error, string contentFolder, LocalDate today)
    {
        switch (args)
        {
            case [] or ["--svg"]:
                break;
            case ["--help" or "-h"] or [_, "--help" or "-h"]:
                output.WriteLine(Usage);
                return 0;
            case ["simulate", .. var rest]:
                return SimulateCommand.Run(rest, output, error, contentFolder);
            case ["check", var file]:
                return PriceVectorFile.Check(file, output, error);
            default:
                error.WriteLine(Usage);
                return 2;
        }

        var errors = new List<string>();
        if (Parse(input.ReadToEnd(), errors) is not JsonObject root) return Refuse(errors, error);
        var vector = root["input"] is JsonObject inner ? inner : root.ContainsKey("products") || root.ContainsKey("pG") ? root : null;
        if (vector is not null && args.Length > 0) errors.Add("--svg: this draws a patient-side case only");
        if (errors.Count > 0) return Refuse(errors, error);
        if (vector is not null)
        {
            if (new PriceCaseReader(errors).Read(vector) is not { } price) return Refuse(errors, error);
            output.WriteLine(PriceFigures.Of(price).ToJsonString(Written));
            return 0;
        }

        ContentLibrary content;
        try
        {
            content = ContentLibrary.Load(contentFolder);
        }
        catch (InvalidOperationException fault)
        {
            error.WriteLine(fault.Message);
            return 1;
        }

        if (new PatientCaseReader(content, errors).Read(root, today) is not { } read) return Refuse(errors, error);
        var outcome = content.Pricing.RangeFor(Wishes.From(read.Answers, read.Today), read.Answers, read.Prices, read.Figures, read.Exam, read.Options);
        if (args.Length > 0) return Draw(outcome, output, error);
        var shown = outcome is PriceOutcome.Known known ? RangeJson.Of(known.Range) : RangeJson.Of((PriceOutcome.CannotSayYet)outcome);
        shown.Insert(0, "today", LocalDatePattern.Iso.Format(read.Today));
        output.WriteLine(shown.ToJsonString(Written));
        return 0;
    }

    private static int Draw(PriceOutcome outcome, TextWriter output, TextWriter error)
    {
        if (outcome is PriceOutcome.Known known)
        {
            output.WriteLine(RangeChart.Drawing(known.Range, "range"));
            return 0;
        }

        error.WriteLine(outcome);
        return 1;
    }

    /// <summary>A JSON object, or null with the fault added.</summary>
    internal static JsonObject? Parse(string text, List<string> errors)
    {
        try
        {
            if (JsonNode.Parse(JsonText.WithoutBareWords(text), documentOptions: new() { AllowDuplicateProperties = false, MaxDepth = 64 }) is JsonObject root) return root;
            errors.Add("input: this must be a JSON object");
        }
        catch (JsonException fault)
        {
            errors.Add($"line {(fault.LineNumber ?? 0) + 1}, byte {(fault.BytePositionInLine ?? 0) + 1}: this is not readable as JSON");
        }

        return null;
    }

    private static int Refuse(List<string> errors, TextWriter error)
    {
        foreach (var line in errors) error.WriteLine(line);
        return 1;
    }
}
