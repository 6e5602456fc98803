using NodaTime;

namespace AftercarePortal.Clinical.Outcomes;

/// <summary>One range beside what came.</summary>
/// <param name="On">Day it came.</param>
/// <param name="Lower">Of the range, in its unit.</param>
/// <param name="Upper">At or above Lower.</param>
/// <param name="Actual">What came, same unit.</param>
/// <param name="Below">Probability the forecast gave to less than came, 0..1.</param>
/// <param name="UpTo">Probability it gave to at most what came, at or above Below.</param>
public sealed record ForecastCase(LocalDate On, double Lower, double Upper, double Actual, double Below, double UpTo)
{
    /// <summary>Whether the range held it.</summary>
    public bool Held => Actual >= Lower && Actual <= Upper;

    /// <summary>Share this range promised to hold: each is judged by its own.</summary>
    public double Promised { get; init; } = PromisedShare.Usual;

    /// <summary>Interval score; lower is better.</summary>
    public double Score => IntervalScore.Of(Lower, Upper, Actual, PromisedShare.Outside(Promised));

    /// <summary>Where in the forecast it fell, 0..1: one half is its middle.</summary>
    public double Place => (Below + UpTo) / 2;

    /// <summary>The least widening around one half that would have held it, 0..0.5.</summary>
    public double NestedScore => Math.Max(0, Math.Max(0.5 - UpTo, Below - 0.5));
}
