using System.Globalization;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Shared;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>A plan and its price range as a patient reads them, in one language: what is kept when it is accepted.</summary>
internal static class PlanText
{
    /// <summary>Its blocks, a line each (<see cref="ReadText"/>); an empty block stands for nothing.</summary>
    /// <param name="quote">The range after the examination; null: none is kept.</param>
    /// <param name="zone">The clinic's.</param>
    public static IReadOnlyList<string> Of(TreatmentPlanRow plan, string patientName, QuoteRow? quote, DateTimeZone zone, ContentLibrary content, string language)
    {
        var say = content.WordsHandedOver(language);
        var names = content.Sheet.Names[say.Language];
        return
        [
            $"# {say["plan-title"]}",
            say.Say("plan-written", patientName, plan.Number, plan.SavedBy),
            say["plan-not-checked"],
            say["plan-caution"],
            $"## {say["plan-where"]}",
            .. plan.Lines.Select(line => "- " + Line(line, names, say)),
            plan.Adjuncts.Length > 0 ? say.Say("plan-with", plan.Adjuncts) : "",
            plan.Adjuncts.Length > 0 || plan.Lines.Exists(l => l.Device.Length > 0) ? say["plan-own-words"] : "",
            $"## {say["plan-cost"]}",
            .. quote is null ? [say["plan-no-range"]] : Range(quote, zone, content, say),
        ];
    }

    private static string Line(PlanLineRow line, IReadOnlyDictionary<string, string> names, PageWords say)
    {
        var amount = PlanWords.Amount(line.Deposit.Amount, line.ProductClass).Replace("units", names["units"], StringComparison.Ordinal);
        return say.Say(line.Device.Length > 0 ? "plan-line-device" : "plan-line", names[Plain.Words(line.Region)], names[Plain.Words(line.Side)], names[line.ProductClass.Name()], amount, line.Device);
    }

    private static IEnumerable<string> Range(QuoteRow quote, DateTimeZone zone, ContentLibrary content, PageWords around)
    {
        var say = content.Pages[around.Language];
        var range = quote.ShownRange().In(content.Pricing, say.Language);
        var chart = PriceInWords.Chart(range, say);
        return
        [
            $"### {chart.Range}", $"{chart.MassSays} {chart.AtMostSays}", say["price-caution"],
            $"## {say["price-why"]}",
            .. range.Reasons.Select(r => $"- {r.Says}"),
            $"## {say["price-made-of"]}",
            .. range.Lines.Select(l => $"- {l.Says}: {PriceInWords.Span(l.Span, say)}"),
            say["price-lines-note"],
            .. range.Notes,
            range.LeftOpen.Count > 0 ? say.Say("price-left-open", string.Join(", ", range.LeftOpen)) : "",
            PriceInWords.Cases(range, say),
            around.Say("plan-examined", AnswerWords.OfDate(quote.MadeAt.InZone(zone).Date, say)),
            around["plan-range-before"],
        ];
    }
}
