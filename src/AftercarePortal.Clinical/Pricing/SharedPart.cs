namespace AftercarePortal.Clinical.Pricing;

/// <summary>A covariance of predictions, reduced to one part they share and one rest each.</summary>
/// <param name="Shared">At or above 0.</param>
/// <param name="Own">By prediction, at or above 0.</param>
/// <param name="Missed">Largest covariance the reduction misses.</param>
public sealed record SharedPart(double Shared, double[] Own, double Missed)
{
    /// <summary>Reduces a symmetric matrix of at least one row.</summary>
    /// <param name="covariance">Of the predictions.</param>
    /// <param name="ifAlone">The shared part when there is only one prediction, and so no pair to read it from.</param>
    public static SharedPart Of(IReadOnlyList<double[]> covariance, double ifAlone)
    {
        var diagonal = covariance.Select((row, i) => row[i]).ToArray();
        var off = new List<double>();
        for (var i = 0; i < covariance.Count; i++)
            for (var j = 0; j < i; j++) off.Add(covariance[i][j]);
        var part = Math.Clamp(off.Count > 0 ? off.Average() : ifAlone, 0, diagonal.Min());
        return new(part, [.. diagonal.Select(d => d - part)], off.Count == 0 ? 0 : off.Max(c => Math.Abs(c - part)));
    }
}
