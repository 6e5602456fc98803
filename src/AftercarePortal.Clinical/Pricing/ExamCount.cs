namespace AftercarePortal.Clinical.Pricing;

/// <summary>How often each level was found at examinations of people like this.</summary>
/// <param name="Factor"><c>laxity</c> or <c>bone</c>.</param>
/// <param name="Age">Middle of the band, years.</param>
/// <param name="Yes">The answer that moves the factor.</param>
/// <param name="Counts">By level, weighted, at or above 0.</param>
public sealed record ExamCount(string Factor, double Age, bool Yes, IReadOnlyList<double> Counts);
