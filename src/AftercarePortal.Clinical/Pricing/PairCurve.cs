namespace AftercarePortal.Clinical.Pricing;

/// <summary>Distribution of the sum of two equal sides, each lognormal around 1, that share a part of their spread.</summary>
/// <remarks>
/// Left and right are a mean M and a difference D of logs, which are independent: left + right = e^M * 2 cosh(D / 2). So one sum over D is enough, and it stays smooth when the sides
/// are nearly tied, where a sum over the left side turns into a staircase. Worked out once on a grid of the logarithm; regions with the same spread only move along it.
/// </remarks>
internal sealed class PairCurve
{
    private const int Steps = 400;
    private const double Reach = 8.5;
    private readonly double[] _below = new double[Steps + 1];
    private readonly double _start;
    private readonly double _step;

    /// <param name="shared">Variance both sides have in common, log scale.</param>
    /// <param name="side">Variance of each side alone, above 0.</param>
    public PairCurve(double shared, double side)
    {
        double sd = Math.Sqrt(shared + side), sdMean = Math.Sqrt(shared + side / 2), sdDifference = Math.Sqrt(2 * side);
        // D = 0 lies at the lower end of the sum, so little reaches below the mean's own spread.
        _start = Math.Log(2) - Reach * sd;
        _step = 2 * Reach * sd / Steps;
        // 1 / cosh has its poles at pi i: a wide difference needs a finer step.
        var node = Math.Min(0.25, 0.5 / sdDifference);
        var count = (int)Math.Ceiling(8 / node);
        var nodes = new double[count + 1];
        var weights = new double[count + 1];
        for (var i = 0; i <= count; i++)
        {
            var half = sdDifference * node * i / 2;
            nodes[i] = half + Math.Log(1 + Math.Exp(-2 * half));
            // Both signs of D give the same sum.
            weights[i] = NormalCurve.Density(node * i) * node * (i == 0 ? 1 : 2);
        }

        for (var k = 0; k <= Steps; k++)
        {
            var q = _start + k * _step;
            double sum = 0;
            for (var i = count; i >= 0; i--) sum += weights[i] * NormalCurve.Below((q - nodes[i]) / sdMean);
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
