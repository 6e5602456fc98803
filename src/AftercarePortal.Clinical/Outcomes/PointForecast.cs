namespace AftercarePortal.Clinical.Outcomes;

/// <summary>A forecast of finitely many values, compared with what came.</summary>
/// <param name="Below">F(y-): probability of less than came.</param>
/// <param name="UpTo">F(y): probability of at most what came.</param>
/// <param name="Crps">Continuous ranked probability score, in the unit of the values; lower is better.</param>
public sealed record PointForecast(double Below, double UpTo, double Crps)
{
    /// <summary>How far out of the middle it fell, 0..0.5: the least widening around one half that would have held it.</summary>
    public double NestedScore => Math.Max(0, Math.Max(0.5 - UpTo, Below - 0.5));

    /// <summary>Compares.</summary>
    /// <param name="chances">Value and probability, values rising.</param>
    /// <param name="actual">What came; it need not be one of the values.</param>
    public static PointForecast Of(IReadOnlyList<(double Value, double Probability)> chances, double actual)
    {
        double below = 0, upTo = 0, crps = 0, sum = 0;
        for (var i = 0; i < chances.Count; i++)
        {
            var (value, p) = chances[i];
            if (i == 0 && actual < value) crps += value - actual;
            sum += p;
            if (value < actual) below = sum;
            if (value <= actual) upTo = sum;
            if (i == chances.Count - 1)
            {
                if (actual > value) crps += actual - value;
                continue;
            }

            var next = chances[i + 1].Value;
            var split = Math.Clamp(actual, value, next);
            crps += (split - value) * sum * sum + (next - split) * (1 - sum) * (1 - sum);
        }

        return new(below, Math.Min(1, Math.Max(below, upTo)), crps);
    }
}
