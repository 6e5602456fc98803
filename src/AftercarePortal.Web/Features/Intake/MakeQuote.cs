using System.Text.Json;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using NodaTime;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>Works out what a wish may cost with the clinic's newest figures, and adds it to the unit of work; the caller saves.</summary>
internal sealed class MakeQuote(PortalDb db, ContentLibrary content, PriceBases bases)
{
    /// <param name="examination">Id and findings; null before there was one.</param>
    public async Task<PriceOutcome> Run(ClinicRow clinic, Guid intakeId, Answers answers, LocalDate on, (Guid Id, ExamFindings Found)? examination, Instant now, CancellationToken stop)
    {
        if (clinic.PriceList is not { } list) return new PriceOutcome.CannotSayYet(["the clinic has not set its prices"]);
        if (!content.PriceLists.TryGetValue(list, out var prices)) return new PriceOutcome.CannotSayYet([$"the clinic's price list {list} is no longer there"]);
        var (number, figures, calibration) = await db.FiguresFor(content.Pricing, stop);
        var (wishes, exam) = (Wishes.From(answers, on), examination?.Found);
        var outcome = content.Pricing.RangeFor(wishes, answers, prices, figures, exam, new() { Calibration = calibration, Bases = bases });
        if (outcome is PriceOutcome.Known known)
            db.Add(new QuoteRow
            {
                ClinicId = clinic.Id, IntakeId = intakeId, MadeAt = now, Stage = examination is null ? QuoteStage.Answers : QuoteStage.Examined, ExaminationId = examination?.Id,
                Model = content.Pricing.Version.ToString(), Prices = prices.Version.ToString(), Figures = number, Inputs = QuoteInputs.Of(answers, on, exam).ToJson(),
                Range = JsonSerializer.Serialize(known.Range), Amounts = JsonSerializer.Serialize(AmountForecasts.Of(content.Pricing, wishes, answers, figures, exam)),
            });
        return outcome;
    }
}
