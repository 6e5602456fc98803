using System.Globalization;

namespace AftercarePortal.Clinical.Outcomes;

/// <summary>Whether the next ranges are widened, by the written rule.</summary>
/// <param name="Cases">Completed quotes so far.</param>
/// <param name="HalfMass">Half the mass the levels would hold: half of what is promised, or more.</param>
/// <param name="Promised">Share of totals the next ranges promise to hold.</param>
public sealed record WideningState(int Cases, double HalfMass, double Promised)
{
    /// <summary>The rule, for whoever leads the practice.</summary>
    public string Rule =>
        $"From {ConformalWidening.From} completed quotes on it is looked how far from the middle of their forecasts they fell. If ranges would have had to be wider for {PromisedShare.Says(Promised)} to hold, the levels move outwards until they would have. They never move inwards: a range is never made narrower by this.";

    /// <summary>From completed quotes.</summary>
    /// <param name="scores"><see cref="ForecastCase.NestedScore"/>.</param>
    public static WideningState Of(IReadOnlyList<double> scores) => Of(Calibration.Of(scores));

    /// <summary>From what the ranges are made with.</summary>
    public static WideningState Of(Calibration calibration) => new(calibration.Quotes, calibration.HalfMass, calibration.Promised);

    /// <summary>Where the rule stands, in plain words.</summary>
    public string Says() => Cases < ConformalWidening.From
        ? $"Not switched on: {Cases} of {ConformalWidening.From} completed quotes."
        : HalfMass > Promised / 2 + 1e-9
            ? $"Switched on and needed: so that {PromisedShare.Says(Promised)} hold, ranges have to reach from level {Math.Floor(100 * (0.5 - HalfMass))} to {Math.Ceiling(100 * (0.5 + HalfMass))} of 100 instead of {Level(0.5 - Promised / 2)} to {Level(0.5 + Promised / 2)}."
            : $"Switched on, and nothing has to be widened: with {Cases} completed quotes the levels stay at {Level(0.5 - Promised / 2)} and {Level(0.5 + Promised / 2)} of 100.";

    private static string Level(double level) => Math.Round(100 * level, 1).ToString("0.#", CultureInfo.InvariantCulture);
}
