using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>What the wish may cost, and why nobody can honestly name one figure. Information, never an offer.</summary>
/// <param name="Model">Which version of the model predicted it.</param>
/// <param name="Central">Where the total most likely falls: rounded outwards, From below To.</param>
/// <param name="AtMost">About 1 in 100 cost more. Same currency, at or above Central.To.</param>
/// <param name="MassInside">Probability inside Central by the model, 0.80..1. Said as it is, never as "8 in 10" by habit.</param>
/// <param name="Lines">What it is made of.</param>
/// <param name="Reasons">Why it is a range, heaviest first; never empty.</param>
public sealed record PriceRange(
    ContentVersion Model, MoneySpan Central, Money AtMost, decimal MassInside, IReadOnlyList<PriceLine> Lines, IReadOnlyList<Reason> Reasons)
{
    /// <summary>Stands beside every range.</summary>
    public const string Caution =
        "This is information, not an offer. Your health and the result you can safely get decide, not the price. "
        + "A licensed clinician has to examine you before anyone can plan a treatment, and may advise against one.";

    /// <summary>Stands beside the lines.</summary>
    public const string LinesNote = "The high ends of these parts do not all happen together.";
}
