using NodaTime;

namespace AftercarePortal.Clinical.Outcomes;

/// <summary>Some ranges in a row, to see a change over time.</summary>
/// <param name="From">Day of the first.</param>
/// <param name="To">Day of the last.</param>
/// <param name="Cases">How many, above 0.</param>
/// <param name="Held">How many held.</param>
/// <param name="MeanScore">Mean interval score; lower is better.</param>
public sealed record ScorePeriod(LocalDate From, LocalDate To, int Cases, int Held, double MeanScore);
