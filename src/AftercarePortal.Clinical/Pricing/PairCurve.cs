namespace AftercarePortal.Clinical.Pricing;

/// <summary>Distribution of the sum of two equal sides, each lognormal around 1, that share a part of their spread.</summary>
/// <remarks>Worked out once on a grid of the logarithm; regions with the same spread only move along it.</remarks>
internal sealed class PairCurve
{
    private const int Steps = 400;
    private const double Reach = 8.5;
    private const double NodeStep = 0.125;
    private static readonly double[] Nodes = [.. Enumerable.Range(-64, 129).Select(i => i * NodeStep)];
    private static readonly double[] Weights = [.. Nodes.Select(x => NormalCurve.Density(x) * NodeStep)];
    private readonly double[] _below = new double[Steps + 1];
    private readonly double _start;
    private readonly double _step;

    /// <param name="shared">Variance both sides have in common, log scale.</param>
    /// <param name="side">Variance of each side alone, above 0.</param>
    public PairCurve(double shared, double side)
    {
        var sd = Math.Sqrt(shared + side);
        var tie = shared / (shared + side);
        var rest = sd * Math.Sqrt(1 - tie * tie);
        _start = Math.Log(2) - Reach * sd;
        _step = 2 * Reach * sd / Steps;
        var left = Nodes.Select(x => Math.Exp(sd * x)).ToArray();
        // The left side by trapezoid in its standard score; the right side given the left in closed form.
        for (var k = 0; k <= Steps; k++)
        {
            var q = Math.Exp(_start + k * _step);
            double sum = 0;
            for (var i = 0; i < left.Length && left[i] < q; i++) sum += Weights[i] * NormalCurve.Below((Math.Log(q - left[i]) - tie * sd * Nodes[i]) / rest);
            _below[k] = Math.Min(1, sum);
        }
    }

    /// <summary>Probability that the sum lies below e^ln. A cubic through the four nearest points.</summary>
    public double Below(double ln)
    {
        var at = (ln - _start) / _step;
        if (at <= 1) return 0;
        if (at >= Steps - 1) return 1;
        var i = (int)at;
        var t = at - i;
        double a = _below[i - 1], b = _below[i], c = _below[i + 1], d = _below[i + 2 <= Steps ? i + 2 : Steps];
        var value = -t * (t - 1) * (t - 2) / 6 * a + (t + 1) * (t - 1) * (t - 2) / 2 * b - (t + 1) * t * (t - 2) / 2 * c + (t + 1) * t * (t - 1) / 6 * d;
        return Math.Clamp(value, 0, 1);
    }
}
