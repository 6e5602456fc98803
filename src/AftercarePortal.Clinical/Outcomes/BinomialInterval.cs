using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Clinical.Outcomes;

/// <summary>Where a share may truly lie, exactly (Clopper and Pearson 1934).</summary>
/// <param name="Lower">0..1.</param>
/// <param name="Upper">0..1, at or above Lower.</param>
public sealed record BinomialInterval(double Lower, double Upper)
{
    /// <summary>The interval for k of n.</summary>
    /// <param name="k">0..n.</param>
    /// <param name="n">Above 0.</param>
    /// <param name="confidence">Above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">k or n or the confidence is outside.</exception>
    public static BinomialInterval Of(int k, int n, double confidence = 0.95)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(n, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(k);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(k, n);
        if (!(confidence is > 0 and < 1)) throw new ArgumentOutOfRangeException(nameof(confidence));
        var tail = (1 - confidence) / 2;
        return new(k == 0 ? 0 : BetaQuantile(tail, k, n - k + 1), k == n ? 1 : BetaQuantile(1 - tail, k + 1, n - k));
    }

    private static double BetaQuantile(double level, double a, double b)
    {
        double low = 0, high = 1;
        for (var i = 0; i < 200 && high - low > 1e-15; i++)
        {
            var middle = (low + high) / 2;
            if (BetaBelow(middle, a, b) < level) low = middle;
            else high = middle;
        }

        return (low + high) / 2;
    }

    // Continued fraction, modified Lentz; from memory, checked by the vectors.
    private static double BetaBelow(double x, double a, double b)
    {
        if (x <= 0) return 0;
        if (x >= 1) return 1;
        if (x > (a + 1) / (a + b + 2)) return 1 - BetaBelow(1 - x, b, a);
        double c = 1, d = 1 / Sure(1 - (a + b) * x / (a + 1)), h = d;
        for (var m = 1; m < 10000; m++)
        {
            var even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
            d = 1 / Sure(1 + even * d);
            c = Sure(1 + even / c);
            h *= d * c;
            var odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
            d = 1 / Sure(1 + odd * d);
            c = Sure(1 + odd / c);
            h *= d * c;
            if (Math.Abs(d * c - 1) < 1e-16) break;
        }

        return h / a * Math.Exp(a * Math.Log(x) + b * Math.Log(1 - x) + LogGamma.Of(a + b) - LogGamma.Of(a) - LogGamma.Of(b));

        static double Sure(double v) => Math.Abs(v) < 1e-300 ? 1e-300 : v;
    }
}
