namespace AftercarePortal.Clinical.Pricing;

/// <summary>Distribution of a volume on cells of 0.02 mL, cell k around 0.02 k mL; the last cell takes the tail.</summary>
internal sealed class VolumeGrid
{
    private const double Cell = 0.02;
    private const double Tiny = 1e-16;
    private readonly double[] _mass;
    private readonly double[] _below;

    private VolumeGrid(double[] mass)
    {
        _mass = mass;
        _below = new double[mass.Length + 1];
        for (var k = 0; k < mass.Length; k++) _below[k + 1] = _below[k] + mass[k];
    }

    /// <summary>Sum of a product's regions, for one f2 and one factor on the side spread.</summary>
    public static VolumeGrid Of(IReadOnlyList<RegionCase> regions, double f2, double tauW, double tauE, double factor, double mostMl)
    {
        double[]? sum = null;
        foreach (var region in regions.OrderBy(r => r.LogMedian).ThenBy(r => r.Sides).ThenBy(r => r.Variance))
        {
            var one = Mass(region, f2 * (tauW * tauW + region.Variance), f2 * tauE * tauE * factor * factor, mostMl);
            sum = sum is null ? one : Convolve(sum, one, (int)Math.Round(mostMl / Cell) + 1);
        }

        return new(sum!);
    }

    /// <summary>Probability of at most q mL, straight lines between cell edges.</summary>
    public double Below(double q)
    {
        var at = q / Cell + 0.5;
        if (at <= 0) return 0;
        if (at >= _mass.Length) return 1;
        var k = (int)at;
        return _below[k] + (at - k) * _mass[k];
    }

    /// <summary>Sd over mean: about the sd of the logarithm.</summary>
    public double RelativeSd()
    {
        double mean = 0, square = 0;
        for (var k = 0; k < _mass.Length; k++)
        {
            mean += _mass[k] * k;
            square += _mass[k] * k * k;
        }

        return mean > 0 ? Math.Sqrt(Math.Max(0, square - mean * mean)) / mean : 0;
    }

    private static double[] Mass(RegionCase region, double shared, double side, double mostMl)
    {
        var cells = (int)Math.Round(mostMl / Cell) + 1;
        var mass = new double[cells];
        double before = 0;
        for (var k = 0; k < cells; k++)
        {
            var now = k == cells - 1 ? 1 : Cumulative((k + 0.5) * Cell, region, shared, side);
            if (now > 1 - Tiny) now = 1;
            mass[k] = Math.Max(0, now - before);
            before = Math.Max(before, now);
            if (before >= 1) return mass[..(k + 1)];
        }

        return mass;
    }

    private static double Cumulative(double q, RegionCase region, double shared, double side)
    {
        var sd = Math.Sqrt(shared + side);
        static double Step(double ln, double mean, double sd) => sd < 1e-12 ? (ln >= mean ? 1 : 0) : NormalCurve.Below((ln - mean) / sd);
        if (region.Sides == 1) return Step(Math.Log(q), region.LogMedian, sd);
        if (side < 1e-18) return Step(Math.Log(q / 2), region.LogMedian, sd);

        // The left side by trapezoid in its standard score; the right side given the left in closed form.
        var tie = shared / (shared + side);
        var rest = sd * Math.Sqrt(1 - tie * tie);
        double sum = 0, weight = 0;
        for (var i = -80; i <= 80; i++)
        {
            var x = i * 0.1;
            var w = NormalCurve.Density(x);
            weight += w;
            var left = Math.Exp(region.LogMedian + sd * x);
            if (left < q) sum += w * NormalCurve.Below((Math.Log(q - left) - region.LogMedian - tie * sd * x) / rest);
        }

        return sum / weight;
    }

    private static double[] Convolve(double[] a, double[] b, int cells)
    {
        var sum = new double[Math.Min(cells, a.Length + b.Length - 1)];
        for (var i = 0; i < a.Length; i++)
        {
            if (a[i] < 1e-30) continue;
            for (var j = 0; j < b.Length; j++) sum[Math.Min(i + j, sum.Length - 1)] += a[i] * b[j];
        }

        return sum;
    }
}
