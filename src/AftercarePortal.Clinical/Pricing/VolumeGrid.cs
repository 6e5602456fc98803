using System.Runtime.CompilerServices;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Distribution of a volume on cells of 0.02 mL, cell k around 0.02 k mL; the last cell takes the tail.</summary>
internal sealed class VolumeGrid
{
    private const double Cell = 0.02;
    private const double Tiny = 1e-10;       // what lies beyond goes to the last cell: nothing is lost
    private readonly double[] _mass;
    private readonly double[] _below;

    private VolumeGrid(double[] mass, int cells)
    {
        _mass = mass;
        Tail = mass.Length == cells ? mass[^1] : 0;
        _below = new double[mass.Length + 1];
        for (var k = 0; k < mass.Length; k++) _below[k + 1] = _below[k] + mass[k];
        RelativeSd = SdOverMean();
    }

    /// <summary>Sum of a product's regions, for one f2 and one factor on the side spread.</summary>
    public static VolumeGrid Of(IReadOnlyList<RegionCase> regions, double f2, double tauW, double tauE, double factor, double mostMl)
    {
        double[]? sum = null;
        var pairs = new Dictionary<(double, double), PairCurve>();
        foreach (var region in regions.OrderBy(r => r.LogMedian).ThenBy(r => r.Sides).ThenBy(r => r.Variance))
        {
            var one = Mass(region, f2 * (tauW * tauW + region.Variance), f2 * tauE * tauE * factor * factor, mostMl, pairs);
            sum = sum is null ? one : Convolve(sum, one, (int)Math.Round(mostMl / Cell) + 1);
        }

        return new(sum!, (int)Math.Round(mostMl / Cell) + 1);
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

    /// <summary>Sd over mean: about the sd of the logarithm. Never below that of one cell, over which the probability is spread.</summary>
    public double RelativeSd { get; }

    /// <summary>Probability in the last cell, which takes what lies beyond.</summary>
    public double Tail { get; }

    private double SdOverMean()
    {
        double mean = 0, square = 0;
        for (var k = 0; k < _mass.Length; k++)
        {
            mean += _mass[k] * k;
            square += _mass[k] * k * k;
        }

        return mean > 0 ? Math.Sqrt(Math.Max(1.0 / 12, square - mean * mean)) / mean : 1;
    }

    private static double[] Mass(RegionCase region, double shared, double side, double mostMl, Dictionary<(double, double), PairCurve> pairs)
    {
        var cells = (int)Math.Round(mostMl / Cell) + 1;
        var sd = Math.Sqrt(shared + side);
        PairCurve? pair = null;
        if (region.Sides == 2 && side >= 1e-18 && !pairs.TryGetValue((shared, side), out pair)) pairs[(shared, side)] = pair = new(shared, side);
        double Cumulative(double q) => pair is not null ? pair.Below(Math.Log(q) - region.LogMedian) : Step(Math.Log(q / region.Sides) - region.LogMedian, sd);
        var mass = new double[cells];
        double before = 0;
        for (var k = 0; k < cells; k++)
        {
            var now = k == cells - 1 ? 1 : Cumulative((k + 0.5) * Cell);
            if (now > 1 - Tiny) now = 1;
            mass[k] = Math.Max(0, now - before);
            before = Math.Max(before, now);
            if (before >= 1) return mass[..(k + 1)];
        }

        return mass;
    }

    private static double Step(double ln, double sd) => sd < 1e-12 ? (ln >= 0 ? 1 : 0) : NormalCurve.Below(ln / sd);

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static double[] Convolve(double[] a, double[] b, int cells)
    {
        var sum = new double[Math.Min(cells, a.Length + b.Length - 1)];
        var above = new double[b.Length + 1];
        for (var j = b.Length - 1; j >= 0; j--) above[j] = above[j + 1] + b[j];
        for (var i = 0; i < a.Length; i++)
        {
            var x = a[i];
            if (x < 1e-30) continue;
            // What would lie beyond the last cell goes there.
            var fits = Math.Min(b.Length, sum.Length - 1 - i);
            WeightedRow.Add(sum.AsSpan(i, fits), b.AsSpan(0, fits), x);
            sum[^1] += x * above[fits];
        }

        return sum;
    }
}
