using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Features.Intake;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>One quote beside what was used.</summary>
/// <param name="Course">The visits.</param>
/// <param name="Quote">The latest of its stage before the first visit.</param>
/// <param name="PatientName">For the list; never in a file.</param>
/// <param name="Forecasts">In mL, as quoted.</param>
/// <param name="Range">The price, as quoted.</param>
/// <param name="Ml">mL of the first visit by region, and all together; empty where the plan changed.</param>
/// <param name="Money">Minor units of the whole course; null while it is open, where the plan changed or something has no price.</param>
/// <param name="CameTo">What the course came to by the quote's price list; null while it is open or something has no price.</param>
/// <param name="PlanChanged">Why it is not compared, or null.</param>
/// <param name="End">Null while the course is open.</param>
internal sealed record OutcomeCase(
    Course Course, QuoteRow Quote, string PatientName, IReadOnlyList<AmountForecast> Forecasts, PriceRange Range, IReadOnlyDictionary<string, ForecastCase> Ml, ForecastCase? Money, Money? CameTo,
    string? PlanChanged, CourseEndRow? End)
{
    /// <summary>All regions together, or null where they cannot be compared.</summary>
    public ForecastCase? All => Ml.GetValueOrDefault(AmountForecast.All);
}
