using AftercarePortal.Clinical.Outcomes;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>How much filler the first visit may take, as 99 amounts: of 100 people like this, n need at most the n-th.</summary>
/// <param name="Region">Code of <c>wish-regions</c>, both sides together, or <see cref="All"/>.</param>
/// <param name="Ml">mL at 1, 2 ... 99 in 100, never falling.</param>
public sealed record AmountForecast(string Region, IReadOnlyList<double> Ml)
{
    /// <summary>All wished regions together.</summary>
    public const string All = "all";

    /// <summary>Share of people the central range is made to hold, as <see cref="PromisedShare"/> allows.</summary>
    public double Promised { get; init; } = PromisedShare.Usual;

    /// <summary>Lower end of the central range.</summary>
    public double Lower => Between(PromisedShare.Levels(Promised).Lower);

    /// <summary>Middle of the forecast.</summary>
    public double Median => Ml[49];

    /// <summary>Upper end of the central range.</summary>
    public double Upper => Between(PromisedShare.Levels(Promised).Upper);

    /// <summary>mL at one level, to the percent.</summary>
    /// <param name="level">0.01..0.99.</param>
    public double At(double level) => Ml[Math.Clamp((int)Math.Round(level * 100) - 1, 0, Ml.Count - 1)];

    /// <summary>Probability of at most so many mL, 0.005..0.995: beyond the kept amounts it is only known to be less than 1 in 100.</summary>
    public double Below(double ml)
    {
        if (ml < Ml[0]) return 0.005;
        if (ml >= Ml[^1]) return 0.995;
        var i = 0;
        while (Ml[i + 1] <= ml) i++;
        return (i + 1 + (ml - Ml[i]) / Math.Max(1e-12, Ml[i + 1] - Ml[i])) / 100;
    }

    // A promise of 95 in 100 ends between two kept amounts; a whole level is read as it is kept.
    private double Between(double level)
    {
        var place = Math.Round(level * 100 - 1, 9);
        var i = Math.Clamp((int)place, 0, Ml.Count - 2);
        return place == i ? Ml[i] : Ml[i] + (place - i) * (Ml[i + 1] - Ml[i]);
    }
}
