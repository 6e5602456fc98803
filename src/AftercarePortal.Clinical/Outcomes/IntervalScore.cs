namespace AftercarePortal.Clinical.Outcomes;

/// <summary>Width of a range plus a penalty for what fell outside; lower is better.</summary>
/// <remarks>Winkler 1972; Gneiting and Raftery 2007 (from memory, unchecked).</remarks>
public static class IntervalScore
{
    /// <summary>Score of one range.</summary>
    /// <param name="lower">Of the range.</param>
    /// <param name="upper">At or above lower.</param>
    /// <param name="actual">What came.</param>
    /// <param name="alpha">Share promised to lie outside, above 0.</param>
    public static double Of(double lower, double upper, double actual, double alpha = 0.2) =>
        upper - lower + 2 / alpha * (Math.Max(0, lower - actual) + Math.Max(0, actual - upper));
}
