using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>What the wish may cost, and why nobody can honestly name one figure. Information, never an offer. Numbers and fixed words only, so that it can be kept as it was.</summary>
/// <param name="Model">Which version of the model predicted it.</param>
/// <param name="Prices">Which price list.</param>
/// <param name="Cases">Completed cases of this clinic behind it; 0 is the cold start.</param>
/// <param name="Central">Where the total most likely falls: rounded outwards, From at or below To.</param>
/// <param name="AtMost">About 1 in 100 cost more. Same currency, at or above Central.To.</param>
/// <param name="MassInside">Probability inside Central by the model, from <see cref="Promised"/> to 1, rounded down. Said as it is, never as "8 in 10" by habit.</param>
/// <param name="Lines">What it is made of.</param>
/// <param name="Reasons">Why it is a range: heaviest first, merged small ones last; shares add up to 1; never empty.</param>
/// <param name="Narrowings">What would narrow it, the strongest first.</param>
/// <param name="LeftOpen">Short names of the questions without an answer; all their answers stayed possible.</param>
/// <param name="Notes">Further plain sentences, for example that treatment may be staged.</param>
/// <param name="Bars">The shape of the distribution, up to the outer bound, cheapest first.</param>
/// <param name="Chances">Every total with its probability, cheapest first; one below 0.0000001, or of more than 2000 one below 0.0002, is counted with the next dearer.</param>
public sealed record PriceRange(
    ContentVersion Model, ContentVersion Prices, int Cases, MoneySpan Central, Money AtMost, decimal MassInside, IReadOnlyList<PriceLine> Lines, IReadOnlyList<Reason> Reasons,
    IReadOnlyList<Narrowing> Narrowings, IReadOnlyList<string> LeftOpen, IReadOnlyList<string> Notes, IReadOnlyList<PriceBar> Bars, IReadOnlyList<PriceChance> Chances)
{
    /// <summary>Share of totals it was made to hold: what the clinic promised on that day.</summary>
    public double Promised { get; init; } = PromisedShare.Usual;

    /// <summary>mL of filler at the first visit, for monitoring; null when no filler is wished. Never shown to a patient.</summary>
    public AmountForecast? Amount { get; init; }

    /// <summary>Completed quotes that made the range wider than the model alone; 0 when none did.</summary>
    public int WidenedBy { get; init; }

    /// <summary>Packages that may be charged in it, the most frequent first; those below 1 in 100 are left out.</summary>
    public IReadOnlyList<RangePackage> Packages { get; init; } = [];

    /// <summary>Stands beside every range.</summary>
    public const string Caution =
        "This is information, not an offer. Your health and the result you can safely get decide, not the price. "
        + "A licensed clinician has to examine you before anyone can plan a treatment, and may advise against one.";

    /// <summary>Stands beside the lines.</summary>
    public const string LinesNote = "The high ends of these parts do not all happen together.";

    /// <summary>What it was made for, for example <c>It is made so that at least 8 in 10 totals like this fall inside it.</c></summary>
    public string PromiseSays() => $"It is made so that at least {PromisedShare.Says(Promised)} totals like this fall inside it.";

    /// <summary>How sure the range is, for example <c>About 90 in 100 totals like this fall between 1,200 and 2,500 USD.</c></summary>
    public string MassSays() => MassInside >= 0.995m
        ? $"By this model nearly every total like this falls between {Central.From} and {Central.To}."
        : $"By this model about {(int)(MassInside * 100)} in 100 totals like this fall between {Central.From} and {Central.To}.";

    /// <summary>The outer bound in words.</summary>
    public string AtMostSays() => $"About 1 in 100 cost more than {AtMost}.";

    /// <summary>Smallest total with at least this probability at or below it, minor units.</summary>
    public long Quantile(double level)
    {
        double below = 0;
        foreach (var chance in Chances)
            if ((below += chance.Probability) >= level - 1e-12) return chance.Total;
        return Chances[^1].Total;
    }

    /// <summary>The distribution as a short table: of 100 totals like this, at least so many cost this amount or less.</summary>
    public IReadOnlyList<(int InHundred, Money AtMost)> Table() =>
        [.. new[] { 10, 25, 50, 75, 90, 99 }.Select(n => (n, new Money(Quantile(n / 100.0), AtMost.Currency)))];
}
