using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>One wish, worked out as far as numbers go.</summary>
/// <param name="Facts">What the answers leave possible.</param>
/// <param name="Exam">What was examined.</param>
/// <param name="Options">The clinic's choices.</param>
/// <param name="Parts">One a possible product; empty when something is missing.</param>
/// <param name="Missing">Why there is no range.</param>
internal sealed record PreparedPrice(
    PriceFacts Facts, ExamFindings Exam, RangeOptions Options, IReadOnlyList<(string? Code, double Weight, PriceCase Case, PriceEngine Engine)> Parts, IReadOnlyList<string> Missing)
{
    public static PreparedPrice Of(PriceModel model, Wishes wishes, Answers answers, PriceList prices, ClinicFigures figures, ExamFindings exam, RangeOptions options)
    {
        var facts = PriceFacts.From(model, wishes, answers, exam.FillerHere, figures.EffectsOf(options.Injector));
        List<string> missing = [.. facts.Missing, .. exam.Faults(model), .. PriceNeeds.Missing(model, facts, prices, figures)];
        if (missing.Count > 0) return new(facts, exam, options, [], missing);
        if (exam.Sides(model) is { } sides) facts = facts with { SideDifference = sides, LeftOpen = [.. facts.LeftOpen.Where(id => id != "side-difference")] };
        var cases = facts.Products.Select(p => (p.Code, p.Weight, Case: PriceCaseBuilder.For(model, facts, p.Code, prices, figures, exam, options.Injector))).ToList();
        List<string> faults = [.. cases.SelectMany(c => c.Case.Faults()).Distinct().Select(fault => $"a figure cannot be used: {fault}")];
        if (faults.Count > 0) return new(facts, exam, options, [], faults);
        // Products share faces, and with them the costly part.
        var first = new PriceEngine(cases[0].Case, null, options.Bases);
        return new(facts, exam, options, [.. cases.Select((c, i) => (c.Code, c.Weight, c.Case, i == 0 ? first : new PriceEngine(c.Case, first, options.Bases)))], []);
    }

    /// <summary>mL at the first visit; the same whichever product is chosen.</summary>
    public AmountForecast? Amount() => Parts[0].Case.Products.Count > 0 ? Parts[0].Engine.FirstVisitMl() with { Promised = Options.Calibration.Promised } : null;
}
