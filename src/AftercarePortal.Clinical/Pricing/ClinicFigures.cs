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
    /// <summary>How the spread is divided; null for the model's own.</summary>
    public FaceSpread? Spread { get; init; }

    /// <summary>What examinations found; empty at the cold start.</summary>
    public IReadOnlyList<ExamCount> ExamCounts { get; init; } = [];

    /// <summary>Who did the clinic's recorded work; empty when no case says.</summary>
    public IReadOnlyList<InjectorShare> Injectors { get; init; } = [];

    /// <summary>Effects of who treats: the named one's alone; when nobody is named, everybody's by what they did.</summary>
    internal IReadOnlyList<(string Parameter, double Factor)> EffectsOf(string? injector) =>
        injector is not null ? Injectors.Any(i => i.Id == injector) ? [($"injector:{injector}", 1)] : [] : [.. Injectors.Select(i => ($"injector:{i.Id}", i.Share))];

    /// <summary>Variance of a clinic's shared part that comes from not knowing who treats, before f2: somebody new differs as injectors do, nobody named may be any of them.</summary>
    /// <param name="injector">As asked for.</param>
    /// <param name="injectorSd">The model's.</param>
    internal double SpreadOf(string? injector, double injectorSd)
    {
        if (Injectors.Count == 0) return 0;
        if (injector is not null) return Injectors.Any(i => i.Id == injector) ? 0 : injectorSd * injectorSd;
        var mean = Injectors.Sum(i => i.Share * MeanOf($"injector:{i.Id}"));
        return Injectors.Sum(i => i.Share * Math.Pow(MeanOf($"injector:{i.Id}") - mean, 2)) / S2;
    }

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
        if (Spread is { } spread && !(spread is { WholeFace: >= 0 and <= 5, Region: >= 0 and <= 5, Side: > 0 and <= 5 })) return "Spread must be 0 to 5, Side above 0";
        if (ExamCounts.Any(c => c.Counts.Count == 0 || c.Counts.Any(v => !(v >= 0) || !double.IsFinite(v)))) return "ExamCounts must not be below 0";
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
        // One region alone has no pair to read the shared part from: it is then what remains without the region.
        var common = Row(null);
        var part = SharedPart.Of([.. rows.Select(a => rows.Select(b => Covary(a, b)).ToArray())], Covary(common, common));
        return (part.Shared, part.Own, part.Missed);
    }

    /// <summary>How likely each level of the examination is: the model's, moved towards what this clinic found (Dirichlet, weight 10 for the model, invented).</summary>
    /// <param name="factor">The model's.</param>
    /// <param name="id"><c>laxity</c> or <c>bone</c>.</param>
    /// <param name="age">Middle of the band, years.</param>
    /// <param name="yes">The answer that moves it.</param>
    public double[] Levels(ExamFactor factor, string id, double age, bool yes)
    {
        var levels = factor.Levels(age, yes);
        if (ExamCounts.FirstOrDefault(c => c.Factor == id && c.Age == age && c.Yes == yes) is not { } found) return levels;
        var all = found.Counts.Sum();
        for (var i = 0; i < levels.Length - 1; i++) levels[i] = (ModelWeight * levels[i] + found.Counts[i]) / (ModelWeight + all);
        levels[^1] = 1 - levels[..^1].Sum();
        return levels;
    }

    private const double ModelWeight = 10;

    private int Index(string parameter)
    {
        for (var i = 0; i < Parameters.Count; i++)
            if (Parameters[i] == parameter) return i;
        return -1;
    }
}
