namespace AftercarePortal.Web.Commands.Simulation;

/// <summary>Random draws of one seed.</summary>
internal sealed class Draws(int seed)
{
    private readonly Random _random = new(seed);

    internal double Uniform() => _random.NextDouble();

    internal double Normal() => Math.Sqrt(-2 * Math.Log(1 - _random.NextDouble())) * Math.Cos(2 * Math.PI * _random.NextDouble());

    /// <summary>Mean 1, this coefficient of variation (Marsaglia and Tsang 2000, from memory, unchecked).</summary>
    internal double Gamma(double variation)
    {
        var shape = 1 / (variation * variation);
        double d = shape - 1.0 / 3, c = 1 / Math.Sqrt(9 * d);
        while (true)
        {
            var x = Normal();
            var v = Math.Pow(1 + c * x, 3);
            if (v > 0 && Math.Log(1 - _random.NextDouble()) < x * x / 2 + d - d * v + d * Math.Log(v)) return d * v / shape;
        }
    }

    /// <summary>Four degrees of freedom, variance 1.</summary>
    internal double HeavyTailed()
    {
        double square = 0;
        for (var i = 0; i < 4; i++) square += Math.Pow(Normal(), 2);
        return Normal() / Math.Sqrt(square / 4) / Math.Sqrt(2);
    }

    /// <summary>The spread of one clinic: 1 / f2 is gamma with this many degrees of freedom.</summary>
    internal double Spread(double nu, double s2) => nu * s2 / Enumerable.Range(0, (int)Math.Round(nu)).Sum(_ => Math.Pow(Normal(), 2));

    internal int Pick(IReadOnlyList<double> probabilities)
    {
        var x = _random.NextDouble();
        for (var i = 0; i < probabilities.Count; i++)
            if ((x -= probabilities[i]) < 0) return i;
        return probabilities.Count - 1;
    }
}
