namespace AftercarePortal.Clinical.Outcomes;

/// <summary>Whether the next ranges are widened, by the written rule.</summary>
/// <param name="Cases">Completed quotes so far.</param>
/// <param name="HalfMass">Half the mass the levels would hold: 0.40 as promised, or more.</param>
public sealed record WideningState(int Cases, double HalfMass)
{
    /// <summary>The rule, for whoever leads the practice.</summary>
    public static string Rule { get; } =
        $"From {ConformalWidening.From} completed quotes on it is looked how far from the middle of their forecasts they fell. If ranges would have had to be wider for 8 in 10 to hold, the levels move outwards until they would have. They never move inwards: a range is never made narrower by this.";

    /// <summary>From completed quotes.</summary>
    /// <param name="scores"><see cref="ForecastCase.NestedScore"/>.</param>
    public static WideningState Of(IReadOnlyList<double> scores) => Of(Calibration.Of(scores));

    /// <summary>From what the ranges are made with.</summary>
    public static WideningState Of(Calibration calibration) => new(calibration.Quotes, calibration.HalfMass);

    /// <summary>Where the rule stands, in plain words.</summary>
    public string Says() => Cases < ConformalWidening.From
        ? $"Not switched on: {Cases} of {ConformalWidening.From} completed quotes."
        : HalfMass > 0.40 + 1e-9
            ? $"Switched on and needed: so that 8 in 10 hold, ranges have to reach from level {Math.Floor(100 * (0.5 - HalfMass))} to {Math.Ceiling(100 * (0.5 + HalfMass))} of 100 instead of 10 to 90."
            : $"Switched on, and nothing has to be widened: with {Cases} completed quotes the levels stay at 10 and 90 of 100.";
}
