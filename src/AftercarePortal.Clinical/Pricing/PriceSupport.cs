namespace AftercarePortal.Clinical.Pricing;

/// <summary>Every total that can happen, and how filler money and the other lines lead to it.</summary>
internal sealed class PriceSupport
{
    private readonly long[] _totals;
    private readonly (int[] To, double Probability)[][] _extras;      // by laxity; To maps a filler amount to a total

    /// <param name="fillers">Filler amounts, minor units.</param>
    /// <param name="extras">By laxity: what comes on top, and its probability.</param>
    public PriceSupport(long[] fillers, (long Money, double P)[][] extras)
    {
        _totals = [.. extras.SelectMany(x => x).Select(x => x.Money).Distinct().SelectMany(extra => fillers.Select(f => f + extra)).Distinct().Order()];
        var at = _totals.Select((money, i) => (money, i)).ToDictionary(x => x.money, x => x.i);
        _extras = [.. extras.Select(row => row.GroupBy(x => x.Money).Select(x => (fillers.Select(f => at[f + x.Key]).ToArray(), x.Sum(y => y.P))).ToArray())];
    }

    /// <summary>No probability anywhere yet.</summary>
    public double[] Empty() => new double[_totals.Length];

    /// <summary>Adds what filler amounts become at one laxity.</summary>
    public void Add(double[] sum, int laxity, double[] fillers, double weight)
    {
        foreach (var (to, p) in _extras[laxity])
            for (var i = 0; i < fillers.Length; i++) sum[to[i]] += fillers[i] * p * weight;
    }

    /// <summary>The sum as a distribution.</summary>
    public PriceDistribution Of(double[] sum) => PriceDistribution.Rising(_totals, sum);
}
