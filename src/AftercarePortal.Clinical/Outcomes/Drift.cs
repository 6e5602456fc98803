namespace AftercarePortal.Clinical.Outcomes;

/// <summary>Whether the latest cases lie to one side of their forecasts.</summary>
/// <param name="Cases">How many of the latest were looked at.</param>
/// <param name="MeanPlace">Mean place in the forecasts, 0..1; one half when nothing drifts.</param>
/// <param name="Seen">Whether chance alone would bring this less than once in 100 times.</param>
/// <remarks>Places are uniform when forecasts are right, so the mean of n has the sd 1/sqrt(12 n) (textbook); judged by the normal curve.</remarks>
public sealed record Drift(int Cases, double MeanPlace, bool Seen)
{
    /// <summary>So many of the latest cases are looked at. Invented (demo).</summary>
    public const int Latest = 20;

    /// <summary>Fewer cases show no drift, whatever they are. Invented (demo).</summary>
    public const int Fewest = 10;

    /// <summary>Looks.</summary>
    /// <param name="places"><see cref="ForecastCase.Place"/> in order of days.</param>
    public static Drift Of(IReadOnlyList<double> places)
    {
        var last = places.Skip(Math.Max(0, places.Count - Latest)).ToList();
        var mean = last.Count == 0 ? 0.5 : last.Average();
        return new(last.Count, mean, last.Count >= Fewest && Math.Abs(mean - 0.5) > 2.5758 / Math.Sqrt(12.0 * last.Count));
    }

    /// <summary>In plain words.</summary>
    public string Says() => this switch
    {
        { Cases: < Fewest } => $"Too few cases to see a drift: {Cases}, and {Fewest} are needed.",
        { Seen: false } => $"No drift was seen in the latest {Cases} cases. That does not show that there is none.",
        _ => $"In the latest {Cases} cases {(MeanPlace > 0.5 ? "more" : "less")} came than was expected: on average at place {Math.Round(100 * MeanPlace)} of 100, where 50 is the middle. "
            + "Chance alone would bring this less than once in 100 times. Ask what changed, and learn anew.",
    };
}
