namespace AftercarePortal.Clinical.Outcomes;

/// <summary>Where in the forecast distributions the real totals fell. Flat when the forecasts are right.</summary>
/// <remarks>Non-randomised for forecasts of finitely many values: Czado, Gneiting and Held 2009 (from memory, unchecked).</remarks>
public static class PitHistogram
{
    /// <summary>Share of each bin; they add up to 1 when there is at least one pair.</summary>
    /// <param name="pairs">F(y-) and F(y), the first at or below the second, 0..1.</param>
    /// <param name="bins">Above 0.</param>
    public static double[] Of(IReadOnlyCollection<(double Below, double UpTo)> pairs, int bins = 10)
    {
        var masses = new double[bins];
        foreach (var (below, upTo) in pairs)
        {
            var width = upTo - below;
            if (width < 1e-12)
            {
                masses[Math.Clamp((int)(upTo * bins), 0, bins - 1)] += 1.0 / pairs.Count;
                continue;
            }

            for (var b = 0; b < bins; b++)
                masses[b] += Math.Max(0, Math.Min(upTo, (b + 1.0) / bins) - Math.Max(below, (double)b / bins)) / width / pairs.Count;
        }

        return masses;
    }
}
