namespace AftercarePortal.Clinical.Outcomes;

/// <summary>How much of the distribution a clinic's next ranges hold: what it promises, or more where its own completed quotes say so.</summary>
/// <remarks>
/// Switch-on rule: from <see cref="ConformalWidening.From"/> completed quotes the levels come from them, before from the promise alone; a range is only ever widened. Quotes count from the model version
/// that made them on. docs/decisions says why.
/// </remarks>
/// <param name="Promised">Share of totals the central range is meant to hold, as <see cref="PromisedShare"/> allows; the clinic's choice.</param>
/// <param name="HalfMass">Distance of both levels from one half, from Promised / 2 to <see cref="Most"/>.</param>
/// <param name="Quotes">Completed quotes behind it, 0 or more.</param>
public sealed record Calibration(double Promised, double HalfMass, int Quotes)
{
    /// <summary>Beyond this a range would hold everything and say nothing.</summary>
    public const double Most = 0.4995;

    /// <summary>8 in 10, and nothing learned.</summary>
    public static Calibration None { get; } = Of([]);

    /// <summary>Lower and upper level, 0..1.</summary>
    public (double Lower, double Upper) Levels => (0.5 - HalfMass, 0.5 + HalfMass);

    /// <summary>Whether the past made the range wider than promised.</summary>
    public bool Widened => HalfMass > Promised / 2 + 1e-9;

    /// <summary>From the nested scores (<see cref="PointForecast.NestedScore"/>) of a clinic's completed quotes, in any order.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The promise is not one <see cref="PromisedShare"/> allows.</exception>
    public static Calibration Of(IReadOnlyList<double> scores, double promised = PromisedShare.Usual)
    {
        if (!PromisedShare.Allows(promised)) throw new ArgumentOutOfRangeException(nameof(promised));
        var half = promised / 2;
        return new(promised, scores.Count < ConformalWidening.From ? half : Math.Clamp(ConformalWidening.Of(scores, 1 - promised).Q, half, Most), scores.Count);
    }

    /// <summary>One for each share a clinic may promise, so that a change of the promise holds at once.</summary>
    public static IReadOnlyList<Calibration> OfEach(IReadOnlyList<double> scores)
    {
        double[] sorted = [.. scores.Order()];
        const int least = (int)(100 * PromisedShare.Least), most = (int)(100 * PromisedShare.Most);
        return [.. Enumerable.Range(least, most - least + 1).Select(n => Of(sorted, n / 100.0))];
    }
}
