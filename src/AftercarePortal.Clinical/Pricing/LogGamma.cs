namespace AftercarePortal.Clinical.Pricing;

/// <summary>Logarithm of the gamma function.</summary>
internal static class LogGamma
{
    // Lanczos, g = 7, nine terms; from memory, checked by the price vectors.
    private static readonly double[] Terms =
    [
        0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
        12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
    ];

    /// <summary>Of x above 0.</summary>
    public static double Of(double x)
    {
        if (x < 0.5) return Math.Log(Math.PI / Math.Sin(Math.PI * x)) - Of(1 - x);
        x -= 1;
        var sum = Terms[0];
        for (var i = 1; i < Terms.Length; i++) sum += Terms[i] / (x + i);
        var t = x + 7.5;
        return 0.5 * Math.Log(2 * Math.PI) + (x + 0.5) * Math.Log(t) - t + Math.Log(sum);
    }
}
