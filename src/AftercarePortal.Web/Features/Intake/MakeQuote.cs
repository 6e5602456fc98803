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
    /// <param name="injector">Who is to treat, by the name records are signed with; null when nobody is named.</param>
    public async Task<PriceOutcome> Run(ClinicRow clinic, Guid intakeId, Answers answers, LocalDate on, (Guid Id, ExamFindings Found)? examination, string? injector, Instant now, CancellationToken stop)
    {
        if (clinic.PriceList is not { } list) return new PriceOutcome.CannotSayYet(["the clinic has not set its prices"]);
        if (!content.PriceLists.TryGetValue(list, out var prices)) return new PriceOutcome.CannotSayYet([$"the clinic's price list {list} is no longer there"]);
        var (number, figures, calibration) = await db.FiguresFor(content.Pricing, clinic.Promised, stop);
        var (wishes, exam) = (Wishes.From(answers, on), examination?.Found);
        var options = new RangeOptions { Calibration = calibration, Bases = bases, Injector = injector };
        var outcome = content.Pricing.RangeFor(wishes, answers, prices, figures, exam, options);
        if (outcome is PriceOutcome.Known known)
            db.Add(new QuoteRow
            {
                ClinicId = clinic.Id, IntakeId = intakeId, MadeAt = now, Stage = examination is null ? QuoteStage.Answers : QuoteStage.Examined, ExaminationId = examination?.Id,
                Model = content.Pricing.Version.ToString(), Prices = prices.Version.ToString(), Figures = number, Inputs = (QuoteInputs.Of(answers, on, exam) with { Injector = injector }).ToJson(),
                Range = JsonSerializer.Serialize(known.Range), Amounts = JsonSerializer.Serialize(AmountForecasts.Of(content.Pricing, wishes, answers, figures, exam, options)),
            });
        return outcome;
    }
}
