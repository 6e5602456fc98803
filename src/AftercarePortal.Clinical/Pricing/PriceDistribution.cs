namespace AftercarePortal.Clinical.Pricing;

/// <summary>Every total that can happen, with its probability.</summary>
public sealed class PriceDistribution
{
    private readonly double[] _below;

    /// <summary>Makes one from totals in minor units; the order does not matter.</summary>
    public PriceDistribution(IEnumerable<KeyValuePair<long, double>> atoms)
    {
        Atoms = [.. atoms.OrderBy(a => a.Key).Select(a => (a.Key, a.Value))];
        _below = new double[Atoms.Count];
        double sum = 0, mean = 0;
        for (var i = 0; i < Atoms.Count; i++)
        {
            _below[i] = sum += Atoms[i].Probability;
            mean += Atoms[i].Probability * Atoms[i].Total;
        }

        Mean = mean;
        Variance = Atoms.Sum(a => a.Probability * (a.Total - mean) * (a.Total - mean));
    }

    /// <summary>Total in minor units and its probability, cheapest first.</summary>
    public IReadOnlyList<(long Total, double Probability)> Atoms { get; }

    /// <summary>Mean total, minor units. Never shown to a patient: it is one figure.</summary>
    public double Mean { get; }

    /// <summary>Variance of the total, minor units squared.</summary>
    public double Variance { get; }

    /// <summary>Smallest total with at least this probability at or below it.</summary>
    public long Quantile(double level)
    {
        for (var i = 0; i < Atoms.Count; i++)
            if (_below[i] >= level - 1e-12) return Atoms[i].Total;
        return Atoms[^1].Total;
    }

    /// <summary>Probability from one total to another, both included.</summary>
    public double Inside(long from, long to) => Atoms.Where(a => a.Total >= from && a.Total <= to).Sum(a => a.Probability);

    /// <summary>Expected interval score of the 10-90 range (Gneiting and Raftery 2007, from memory, unchecked); lower is better.</summary>
    public double IntervalScore()
    {
        const double alpha = 0.2;
        long low = Quantile(alpha / 2), high = Quantile(1 - alpha / 2);
        return Atoms.Sum(a => a.Probability * (high - low + 2 / alpha * (Math.Max(0, low - a.Total) + Math.Max(0, a.Total - high))));
    }

    /// <summary>One of several distributions, by weight.</summary>
    public static PriceDistribution Mix(IEnumerable<(double Weight, PriceDistribution Of)> parts)
    {
        var sum = new Dictionary<long, double>();
        foreach (var (weight, part) in parts)
            foreach (var (total, p) in part.Atoms) sum[total] = sum.GetValueOrDefault(total) + weight * p;
        return new(sum);
    }
}
