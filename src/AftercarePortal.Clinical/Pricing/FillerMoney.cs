namespace AftercarePortal.Clinical.Pricing;

/// <summary>What each count of units may cost, as sparse rows over one list of amounts.</summary>
internal sealed class FillerMoney
{
    private readonly (int At, double Probability)[][] _rows;

    private FillerMoney(long[] values, (int, double)[][] rows) => (Values, _rows) = (values, rows);

    /// <summary>Every amount that can happen, minor units, cheapest first.</summary>
    public long[] Values { get; }

    /// <summary>Makes it from the amounts of each row.</summary>
    public static FillerMoney Of(IEnumerable<IEnumerable<(long Money, double P)>> rows)
    {
        var all = rows.Select(row => row.Where(x => x.P > 0).ToArray()).ToArray();
        long[] values = [.. all.SelectMany(row => row.Select(x => x.Money)).Distinct().Order()];
        var at = values.Select((money, i) => (money, i)).ToDictionary(x => x.money, x => x.i);
        return new(values, [.. all.Select(row => row.Select(x => (at[x.Money], x.P)).ToArray())]);
    }

    /// <summary>Probability of each amount, the rows weighted.</summary>
    public double[] Mix(double[] weights)
    {
        var mass = new double[Values.Length];
        for (var row = 0; row < _rows.Length; row++)
        {
            if (weights[row] is not (> 0 and var weight)) continue;
            foreach (var (i, p) in _rows[row]) mass[i] += weight * p;
        }

        return mass;
    }
}
