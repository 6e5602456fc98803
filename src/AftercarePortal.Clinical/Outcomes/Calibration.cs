namespace AftercarePortal.Clinical.Outcomes;

/// <summary>How much of the distribution a clinic's next ranges hold: what it promises, or more where its own completed quotes say so.</summary>
/// <remarks>
/// Switch-on rule: from <see cref="ConformalWidening.From"/> completed quotes the levels come from them, before from the promise alone; a range is only ever widened. Quotes count from the model version
/// that made them on. docs/decisions says why.
/// </remarks>
/// <param name="Promised">Share of totals the central range is meant to hold, 0.5..0.98; the clinic's choice.</param>
/// <param name="HalfMass">Distance of both levels from one half, from Promised / 2 to <see cref="Most"/>.</param>
/// <param name="Quotes">Completed quotes behind it, 0 or more.</param>
public sealed record Calibration(double Promised, double HalfMass, int Quotes)
{
    /// <summary>Beyond this a range would hold everything and say nothing.</summary>
    public const double Most = 0.4995;

    /// <summary>8 in 10, as the model has it.</summary>
    public static Calibration None { get; } = new(0.8, 0.4, 0);

    /// <summary>Lower and upper level, 0..1.</summary>
    public (double Lower, double Upper) Levels => (0.5 - HalfMass, 0.5 + HalfMass);

    /// <summary>Whether the past made the range wider than promised.</summary>
    public bool Widened => HalfMass > Promised / 2 + 1e-9;

    /// <summary>From the nested scores (<see cref="PointForecast.NestedScore"/>) of a clinic's completed quotes, in any order.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The promise is outside 0.5..0.98.</exception>
    public static Calibration Of(IReadOnlyList<double> scores, double promised = 0.8)
    {
        if (!(promised is >= 0.5 and <= 0.98)) throw new ArgumentOutOfRangeException(nameof(promised));
        var half = promised / 2;
        return new(promised, scores.Count < ConformalWidening.From ? half : Math.Clamp(ConformalWidening.Of(scores, 1 - promised).Q, half, Most), scores.Count);
    }
}
