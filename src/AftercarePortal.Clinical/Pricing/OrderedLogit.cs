namespace AftercarePortal.Clinical.Pricing;

/// <summary>Probabilities of ordered levels: P(level at most j) = logistic(cut j - lin).</summary>
public static class OrderedLogit
{
    /// <summary>One probability a level, one more than there are cuts; the last is what the others leave.</summary>
    /// <param name="cuts">Rising.</param>
    /// <param name="lin">Where this person stands on the same scale.</param>
    public static double[] Levels(IReadOnlyList<double> cuts, double lin)
    {
        var levels = new double[cuts.Count + 1];
        double before = 0, sum = 0;
        for (var j = 0; j < cuts.Count; j++)
        {
            var now = 1 / (1 + Math.Exp(lin - cuts[j]));
            levels[j] = now - before;
            sum += levels[j];
            before = now;
        }

        levels[^1] = 1 - sum;
        return levels;
    }
}
