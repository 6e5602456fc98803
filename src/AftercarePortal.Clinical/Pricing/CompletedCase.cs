using AftercarePortal.Clinical.Intake;
using NodaTime;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>One patient's finished treatment, as far as the price model learns from it.</summary>
/// <param name="Id">The same id twice is refused, never counted twice.</param>
/// <param name="On">Day of treatment.</param>
/// <param name="Product">Code of <c>wish-product</c>.</param>
/// <param name="Answers">The intake before it.</param>
/// <param name="Amounts">What was placed, one entry a side.</param>
/// <param name="Laxity">Level found at the examination, 0 the mildest; null when not recorded.</param>
/// <param name="Bone">The same of bone and teeth.</param>
/// <param name="SideDifference">The same of left and right.</param>
public sealed record CompletedCase(
    string Id, LocalDate On, string? Product, Answers Answers, IReadOnlyList<CompletedCase.Amount> Amounts, int? Laxity, int? Bone, int? SideDifference)
{
    /// <summary>Who treated, as an id of the clinic's own; null when not recorded. Habits differ between injectors.</summary>
    public string? Injector { get; init; }

    /// <summary>Whether earlier filler was found in the treated regions; null when not recorded.</summary>
    public bool? FillerHere { get; init; }

    /// <summary>One side's amount.</summary>
    /// <param name="Region">Code of <c>wish-regions</c>.</param>
    /// <param name="Ml">Millilitres. Below 0.05 it leaves the case: nearly nothing is no small amount.</param>
    public sealed record Amount(string Region, double Ml);
}
