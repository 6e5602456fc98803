namespace AftercarePortal.Clinical.Pricing;

public sealed partial class PriceEngine
{
    private const double Hundredth = 0.01;

    /// <summary>Probability that one product's first visit takes at most each of these amounts.</summary>
    /// <param name="product">Which of the case's products.</param>
    /// <param name="ml">mL, above 0.</param>
    public double[] ChanceAtMost(int product, IReadOnlyList<double> ml)
    {
        var below = new double[ml.Count];
        for (var a = 0; a < _case.SideDifference.Length; a++)
        {
            if (!(_case.SideDifference[a] > 0)) continue;
            for (var f = 0; f < _f2.Length; f++)
            {
                var grid = _base[product, a, f];
                foreach (var (step, weight) in Shifts(a, f))
                {
                    var scale = Math.Exp(-step * Hundredth);
                    for (var i = 0; i < below.Length; i++) below[i] += weight * grid.Below(ml[i] * scale);
                }
            }
        }

        return below;
    }

    // What moves all regions at once, put on a grid of one hundredth: each shift is shared between its two neighbours, so the mean stays.
    private SortedDictionary<int, double> Shifts(int a, int f)
    {
        var grid = new SortedDictionary<int, double>();
        foreach (var (common, weight) in CommonFactor(a, f))
            for (var g = 0; g < _case.LaxityShift.Length; g++)
                for (var b = 0; b < _case.BoneShift.Length; b++)
                {
                    if (weight * _case.SideDifference[a] * _case.LaxityBone[g][b] / _f2.Length is not (> 1e-12 and var w)) continue;
                    var at = (common + _case.LaxityShift[g] + _case.BoneShift[b]) / Hundredth;
                    var left = (int)Math.Floor(at);
                    grid[left] = grid.GetValueOrDefault(left) + w * (left + 1 - at);
                    grid[left + 1] = grid.GetValueOrDefault(left + 1) + w * (at - left);
                }

        return grid;
    }
}
