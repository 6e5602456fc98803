namespace AftercarePortal.Clinical.Pricing;

/// <summary>Probability of each count of units at every step of the common shift. Depends on neither answers nor findings, so it can be kept.</summary>
/// <param name="Step">Between neighbouring shifts, log scale.</param>
/// <param name="Half">Places to each side of no shift.</param>
/// <param name="Rows">By product, side level and f2 node: by place, index = units, trimmed after the last possible count.</param>
internal sealed record UnitTable(double Step, int Half, double[,,][][] Rows)
{
    private const int MostPlaces = 20_000;

    /// <summary>A table above this is made anew each time rather than kept: it is one of a spread next to nothing.</summary>
    public const int MostKept = 4000;

    /// <summary>How fine and how wide a table has to be; null when no table of a sensible size is fine enough.</summary>
    /// <param name="price">The case.</param>
    /// <param name="f2">Nodes of the spread.</param>
    /// <param name="narrow">Sd of the logarithm of the narrowest volume.</param>
    /// <param name="tail">Largest probability of a volume beyond the grid.</param>
    public static (double Step, int Half)? SizeFor(PriceCase price, double[] f2, double narrow, double tail)
    {
        double whole = price.TauU * price.TauU, least = f2.Min(), most = f2.Max(), shared = price.Shifts.Max(s => s.SharedVariance);
        var sd = Math.Sqrt(least * (price.Shifts.Min(s => s.SharedVariance) + whole));
        // The trapezoid needs a step well below the spread of the shift and of the volumes; the means are read between places and need one well below both together.
        var bound = Math.Min(Math.Min(0.1 * sd, 0.5 * narrow), 0.2 * Math.Sqrt(narrow * narrow + least * whole));
        // The end of the grid is a jump, which a trapezoid only sees to the step: where much lies beyond, a finer one.
        if (tail > 1e-4) bound /= 8;
        if (!(bound > 1e-6)) return null;
        // Rounded, so that other answers find the same table again.
        var step = Math.Pow(2, Math.Floor(Math.Log2(bound)));
        var exam = price.LaxityShift.Max(Math.Abs) + price.BoneShift.Max(Math.Abs);
        var reach = Math.Ceiling(price.Shifts.Max(s => Math.Abs(s.Delta)) + exam + 6 * Math.Sqrt(most * whole) + 6 * Math.Sqrt(most * shared) + 2 * step);
        return 2 * reach / step <= MostPlaces ? (step, (int)(reach / step)) : null;
    }

    /// <summary>Weights of the places for shifts around <paramref name="middle"/>: the trapezoid of a normal density, cut at 6 sd, whose weights add up to <paramref name="whole"/>.</summary>
    /// <param name="into">By place.</param>
    /// <param name="middle">Log scale.</param>
    /// <param name="sd">At or above ten steps.</param>
    /// <param name="whole">Their sum.</param>
    public void Put(double[] into, double middle, double sd, double whole)
    {
        int first = Math.Max(-Half, (int)Math.Ceiling((middle - 6 * sd) / Step)), last = Math.Min(Half, (int)Math.Floor((middle + 6 * sd) / Step));
        Span<double> density = stackalloc double[Math.Min(1024, last - first + 1)];
        if (last - first + 1 > density.Length) density = new double[last - first + 1];
        double sum = 0;
        for (var i = 0; i < density.Length; i++) sum += density[i] = NormalCurve.Density(((first + i) * Step - middle) / sd);
        WeightedRow.Add(into.AsSpan(first + Half, density.Length), density, whole / sum);
    }

    /// <summary>Values at every place, each replaced by the mean around it with this sd.</summary>
    public double[] Smoothed(double[] values, double sd)
    {
        if (sd <= 0) return values;
        // A spread below one step is three points with its variance.
        double[] half = sd < Step ? [1 - sd * sd / Step / Step, sd * sd / Step / Step / 2] : [.. Enumerable.Range(0, (int)Math.Ceiling(6 * sd / Step) + 1).Select(i => NormalCurve.Density(i * Step / sd))];
        var sum = half[0] + 2 * half.Skip(1).Sum();
        var mean = new double[values.Length];
        WeightedRow.Add(mean, values, half[0] / sum);
        for (var k = 1; k < half.Length; k++)
        {
            var weight = half[k] / sum;
            WeightedRow.Add(mean.AsSpan(k), values.AsSpan(0, values.Length - k), weight);
            WeightedRow.Add(mean.AsSpan(0, mean.Length - k), values.AsSpan(k), weight);
            // Beyond the ends the last value stands.
            for (var i = 0; i < k; i++) (mean[i], mean[^(i + 1)]) = (mean[i] + weight * values[0], mean[^(i + 1)] + weight * values[^1]);
        }

        return mean;
    }

    /// <summary>The values of one row, or of two, at a shift between places: a cubic through the four nearest; 0 for a row that is null.</summary>
    public (double One, double Two) At(double[] one, double[]? two, double shift)
    {
        var at = Math.Clamp(shift / Step + Half, 1, one.Length - 2.000001);
        var i = (int)at;
        var t = at - i;
        double before = -t * (t - 1) * (t - 2) / 6, here = (t + 1) * (t - 1) * (t - 2) / 2, next = (t + 1) * t * (t - 2) / 2, last = (t + 1) * t * (t - 1) / 6;
        return (Of(one), two is null ? 0 : Of(two));

        double Of(double[] values) => before * values[i - 1] + here * values[i] - next * values[i + 1] + last * values[i + 2];
    }
}
