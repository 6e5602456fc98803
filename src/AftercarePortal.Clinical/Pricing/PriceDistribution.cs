using AftercarePortal.Clinical.Outcomes;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Every total that can happen, with its probability.</summary>
public sealed class PriceDistribution
{
    private readonly double[] _below;
    private readonly (long Total, double Probability)[] _atoms;

    /// <summary>Makes one from totals in minor units; the order does not matter.</summary>
    public PriceDistribution(IEnumerable<KeyValuePair<long, double>> atoms)
        : this([.. atoms.OrderBy(a => a.Key).Select(a => (a.Key, a.Value))])
    {
    }

    // Cheapest first.
    private PriceDistribution((long, double)[] atoms)
    {
        _atoms = atoms;
        _below = new double[_atoms.Length];
        double sum = 0, mean = 0, square = 0;
        for (var i = 0; i < _atoms.Length; i++)
        {
            _below[i] = sum += _atoms[i].Probability;
            mean += _atoms[i].Probability * _atoms[i].Total;
        }

        foreach (var (total, probability) in _atoms) square += probability * (total - mean) * (total - mean);
        (Mean, Variance) = (mean, square);
    }

    /// <summary>From totals that already rise; those without probability are left out.</summary>
    internal static PriceDistribution Rising(long[] totals, double[] probability)
    {
        var kept = new (long, double)[probability.Count(p => p > 0)];
        for (int i = 0, at = 0; i < totals.Length; i++)
            if (probability[i] > 0) kept[at++] = (totals[i], probability[i]);
        return new(kept);
    }

    /// <summary>Total in minor units and its probability, cheapest first.</summary>
    public IReadOnlyList<(long Total, double Probability)> Atoms => _atoms;

    /// <summary>Mean total, minor units. Never shown to a patient: it is one figure.</summary>
    public double Mean { get; }

    /// <summary>Variance of the total, minor units squared.</summary>
    public double Variance { get; }

    /// <summary>Smallest total with at least this probability at or below it.</summary>
    public long Quantile(double level)
    {
        for (var i = 0; i < _atoms.Length; i++)
            if (_below[i] >= level - 1e-12) return _atoms[i].Total;
        return _atoms[^1].Total;
    }

    /// <summary>Probability from one total to another, both included.</summary>
    public double Inside(long from, long to) => Atoms.Where(a => a.Total >= from && a.Total <= to).Sum(a => a.Probability);

    /// <summary>Expected interval score of the range that holds this share (Gneiting and Raftery 2007, from memory, unchecked); lower is better.</summary>
    /// <param name="promised">As <see cref="PromisedShare"/> allows.</param>
    public double IntervalScore(double promised = PromisedShare.Usual)
    {
        var alpha = PromisedShare.Outside(promised);
        long low = Quantile(alpha / 2), high = Quantile(1 - alpha / 2);
        double score = 0;
        foreach (var (total, probability) in _atoms) score += probability * (high - low + 2 / alpha * (Math.Max(0, low - total) + Math.Max(0, total - high)));
        return score;
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
