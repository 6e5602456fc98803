namespace AftercarePortal.Clinical.Pricing;

/// <summary>What is believed about one clinic: the model's prior, or the posterior after its own completed cases.</summary>
/// <param name="Cases">Completed cases behind it; 0 is the cold start.</param>
/// <param name="Nu">Degrees of freedom of the spread, above 0.</param>
/// <param name="S2">Scale of the spread, above 0.</param>
/// <param name="Parameters">Ids: <c>level</c>, <c>region:CODE</c>, <c>laxity</c>, <c>bone</c> and the answers' effects.</param>
/// <param name="Mean">One a parameter, log scale.</param>
/// <param name="Covariance">Square and symmetric, in the parameters' order, before the factor f2.</param>
/// <remarks>Method: conjugate normal-inverse-gamma regression, design page "Price as a range", sections 2 and 3.</remarks>
public sealed record ClinicFigures(
    int Cases, double Nu, double S2, IReadOnlyList<string> Parameters, IReadOnlyList<double> Mean, IReadOnlyList<IReadOnlyList<double>> Covariance)
{
    /// <summary>Mean of one parameter; 0 when these figures do not know it.</summary>
    public double MeanOf(string parameter) => Index(parameter) is >= 0 and var i ? Mean[i] : 0;

    /// <summary>Whether the numbers fit together; null when they do, else the first fault in plain words.</summary>
    public string? Fault()
    {
        var n = Parameters.Count;
        if (!(Nu > 0) || !double.IsFinite(Nu)) return "Nu must be above 0";
        if (!(S2 > 0) || !double.IsFinite(S2)) return "S2 must be above 0";
        if (Mean.Count != n || Mean.Any(v => !double.IsFinite(v))) return "Mean must hold one finite number a parameter";
        if (Covariance.Count != n || Covariance.Any(row => row.Count != n || row.Any(v => !double.IsFinite(v)))) return "Covariance must be square and finite";
        return Enumerable.Range(0, n).Any(i => Covariance[i][i] < 0) ? "Covariance must have no negative variance" : null;
    }

    /// <summary>The uncertainty of several predictions, reduced to one shared part and one rest each.</summary>
    /// <param name="shared">What all regions have in common: parameter and factor.</param>
    /// <param name="regions">Region parameters, one or more.</param>
    /// <returns>Shared variance, rest by region, and the largest covariance the reduction misses; all at or above 0.</returns>
    public (double Shared, double[] Own, double Missed) Reduce(IReadOnlyList<(string Parameter, double Factor)> shared, IReadOnlyList<string> regions)
    {
        double[] Row(string? region)
        {
            var row = new double[Parameters.Count];
            foreach (var (parameter, factor) in shared)
                if (Index(parameter) is >= 0 and var i) row[i] += factor;
            if (region is not null && Index(region) is >= 0 and var r) row[r] += 1;
            return row;
        }

        double Covary(double[] a, double[] b)
        {
            double sum = 0;
            for (var i = 0; i < a.Length; i++)
                for (var j = 0; j < b.Length; j++) sum += a[i] * Covariance[i][j] * b[j];
            return sum;
        }

        var rows = regions.Select(Row).ToArray();
        var diagonal = rows.Select(row => Covary(row, row)).ToArray();
        var off = new List<double>();
        for (var i = 0; i < rows.Length; i++)
            for (var j = 0; j < i; j++) off.Add(Covary(rows[i], rows[j]));
        // One region alone has no pair to read the shared part from: it is then what remains without the region.
        var common = Row(null);
        var mean = off.Count > 0 ? off.Average() : Covary(common, common);
        var part = Math.Clamp(mean, 0, diagonal.Min());
        return (part, [.. diagonal.Select(d => d - part)], off.Count == 0 ? 0 : off.Max(c => Math.Abs(c - part)));
    }

    private int Index(string parameter)
    {
        for (var i = 0; i < Parameters.Count; i++)
            if (Parameters[i] == parameter) return i;
        return -1;
    }
}
