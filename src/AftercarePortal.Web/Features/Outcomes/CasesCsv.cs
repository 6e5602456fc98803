using System.Globalization;
using System.Text;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Web.Features.Intake;
using CsvHelper;
using CsvHelper.Configuration;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>All compared quotes as a file: one line a range and what came. Ids and figures, no names of patients.</summary>
internal static class CasesCsv
{
    private static readonly string[] Head =
        ["quote", "treated_on", "injector", "stage", "model", "prices", "figures", "what", "unit", "promised", "lower", "upper", "used", "held", "place_from", "place_to", "interval_score"];

    public static void MapOutcomes(this IEndpointRouteBuilder app) => app.MapGet("/Outcomes/cases.csv", async (ReadOutcomes outcomes, CancellationToken stop) =>
    {
        var cases = new List<OutcomeCase>();
        foreach (var stage in Enum.GetValues<QuoteStage>()) cases.AddRange((await outcomes.Run(stage, stop)).Cases);
        return TypedResults.File(Encoding.UTF8.GetBytes(await Write(cases)), "text/csv; charset=utf-8", "compared-quotes.csv");
    });

    private static async Task<string> Write(IEnumerable<OutcomeCase> cases)
    {
        await using var text = new StringWriter();
        // Names that a spreadsheet would take for a formula are made harmless.
        await using var csv = new CsvWriter(text, new CsvConfiguration(CultureInfo.InvariantCulture) { InjectionOptions = InjectionOptions.Escape, NewLine = "\r\n" });
        foreach (var name in Head) csv.WriteField(name);
        await csv.NextRecordAsync();
        foreach (var one in cases)
        {
            foreach (var (what, compared) in one.Ml) await Line(csv, one, what, "mL", compared);
            if (one.Money is { } money) await Line(csv, one, "total", $"{one.Range.AtMost.Currency} minor", money);
        }

        await csv.FlushAsync();
        return text.ToString();
    }

    private static Task Line(CsvWriter csv, OutcomeCase one, string what, string unit, ForecastCase compared)
    {
        foreach (var field in new[] { one.Quote.Id.ToString(), LocalDatePattern.Iso.Format(compared.On), one.Course.Injector, one.Quote.Stage.ToString(), one.Quote.Model, one.Quote.Prices }) csv.WriteField(field);
        csv.WriteField(one.Quote.Figures);
        csv.WriteField(what);
        csv.WriteField(unit);
        csv.WriteField(compared.Promised);
        foreach (var number in new[] { compared.Lower, compared.Upper, compared.Actual }) csv.WriteField(Math.Round(number, 3));
        csv.WriteField(compared.Held ? "yes" : "no");
        foreach (var number in new[] { compared.Below, compared.UpTo, compared.Score }) csv.WriteField(Math.Round(number, 4));
        return csv.NextRecordAsync();
    }
}
