namespace AftercarePortal.Clinical.Outcomes;

/// <summary>Watches for drift: the share allowed outside falls after each miss and rises after each hit.</summary>
/// <remarks>Gibbs and Candes 2021 (from memory, unchecked). Whatever the cases, |mean miss - alpha| stays at or below <see cref="Bound"/>.</remarks>
public static class AdaptiveAlpha
{
    /// <summary>Step after each case.</summary>
    public const double Gamma = 0.02;

    /// <summary>The value after each case.</summary>
    /// <param name="misses">In order: true where the total fell outside.</param>
    /// <param name="alpha">Share promised to lie outside.</param>
    /// <param name="gamma">Above 0.</param>
    /// <param name="start">The value before the first case; null for alpha.</param>
    public static double[] Path(IReadOnlyList<bool> misses, double alpha = 0.2, double gamma = Gamma, double? start = null)
    {
        var path = new double[misses.Count];
        var now = start ?? alpha;
        for (var i = 0; i < path.Length; i++) path[i] = now += gamma * (alpha - (misses[i] ? 1 : 0));
        return path;
    }

    /// <summary>How far the mean miss can lie from alpha after so many cases.</summary>
    public static double Bound(int cases, double alpha = 0.2, double gamma = Gamma) => (Math.Max(alpha, 1 - alpha) + gamma) / (cases * gamma);
}
