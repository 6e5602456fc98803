using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Works out what a wish may take in mL, beside what it may cost.</summary>
public static class AmountForecasts
{
    /// <summary>Every wished filler region, then all of them together.</summary>
    /// <returns>Empty when no filler is wished, or the wish cannot be read.</returns>
    public static IReadOnlyList<AmountForecast> Of(PriceModel model, Wishes wishes, Answers answers, ClinicFigures figures, ExamFindings? exam = null, RangeOptions? options = null)
    {
        exam ??= ExamFindings.None;
        options ??= RangeOptions.Usual;
        var facts = PriceFacts.From(model, wishes, answers, exam.FillerHere, figures.EffectsOf(options.Injector)) with { Toxin = false, Sessions = false };
        if (facts.Missing.Count > 0 || facts.Regions.Count == 0 || exam.Faults(model).Any() || figures.Fault() is not null) return [];
        if (exam.Sides(model) is { } sides) facts = facts with { SideDifference = sides };
        var product = model.Open.Product.Keys.First();
        // Amounts know no prices: any list will do.
        var prices = new PriceList(model.Version, "XXX", new Dictionary<string, ProductPrice> { [product] = new(1, 0, 1, 1) }, null, null, null, 0);
        AmountForecast For(string name, PriceFacts some) => new(name, [.. new PriceEngine(PriceCaseBuilder.For(model, some, product, prices, figures, exam, options.Injector)).FirstVisitMl().Ml.Select(ml => Math.Round(ml, 3))]) { Promised = options.Calibration.Promised };
        var all = For(AmountForecast.All, facts);
        return facts.Regions.Count == 1
            ? [all with { Region = facts.Regions[0].Code }, all]
            : [.. facts.Regions.Select(r => For(r.Code, facts with { Regions = [r] })), all];
    }
}
