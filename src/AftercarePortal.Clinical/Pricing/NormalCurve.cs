using System.Runtime.CompilerServices;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>The standard normal distribution.</summary>
internal static class NormalCurve
{
    private const int PerUnit = 256;
    private const double Limit = 9;
    private static readonly double[] Cumulative = [.. Enumerable.Range(0, (int)(2 * Limit * PerUnit) + 1).Select(i => Exact(i / (double)PerUnit - Limit))];
    private static readonly double[] Slope = [.. Enumerable.Range(0, (int)(2 * Limit * PerUnit) + 1).Select(i => Density(i / (double)PerUnit - Limit) / PerUnit)];

    /// <summary>Density at x.</summary>
    public static double Density(double x) => Math.Exp(-x * x / 2) / Math.Sqrt(2 * Math.PI);

    /// <summary>Probability below x; 0 and 1 beyond 9. Cubic Hermite between exact points; error below 1e-13.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static double Below(double x)
    {
        if (!(x > -Limit)) return 0;
        if (x >= Limit) return 1;
        var at = (x + Limit) * PerUnit;
        var i = (int)at;
        var t = at - i;
        var u = 1 - t;
        return u * u * ((1 + 2 * t) * Cumulative[i] + t * Slope[i]) + t * t * ((3 - 2 * t) * Cumulative[i + 1] - u * Slope[i + 1]);
    }

    // Series near the middle (Marsaglia 2004), continued fraction in the tail (Laplace); both from memory, checked by P08 of the vectors.
    private static double Exact(double x)
    {
        if (x > 0) return 1 - Exact(-x);
        if (x < -5)
        {
            var fraction = -x;
            for (var k = 60; k >= 1; k--) fraction = -x + k / fraction;
            return Density(x) / fraction;
        }

        double sum = x, term = x;
        for (var k = 3; Math.Abs(term) > 1e-18 && k < 400; k += 2)
        {
            term *= x * x / k;
            sum += term;
        }

        return 0.5 + sum * Density(x);
    }
}
