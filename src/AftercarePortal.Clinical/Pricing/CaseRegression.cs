using System.Globalization;
using System.Text;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Conjugate normal-inverse-gamma regression over patients with whole-face, region and side effects. Exact; the order of patients only moves the last bits.</summary>
/// <remarks>Design page "Price as a range", section 3. H is inverted in closed form, so that a hundred thousand patients come down to a few hundred small sums and any spread can be tried on them.</remarks>
public sealed class CaseRegression
{
    private readonly double[] _priorMean;
    private readonly double[,] _root;            // V0 = root root'
    private readonly double _nu0;
    private readonly double _s20;
    private readonly Dictionary<string, CasePattern> _patterns = new(StringComparer.Ordinal);

    /// <param name="priorMean">m0.</param>
    /// <param name="priorCovariance">V0, before f2; symmetric, no negative direction. A parameter of variance 0 is known.</param>
    /// <param name="nu0">Degrees of freedom, at or above 0.</param>
    /// <param name="s20">Scale, at or above 0.</param>
    /// <exception cref="ArgumentException">The numbers do not fit together.</exception>
    public CaseRegression(IReadOnlyList<double> priorMean, IReadOnlyList<IReadOnlyList<double>> priorCovariance, double nu0, double s20)
    {
        _priorMean = [.. priorMean];
        if (priorCovariance.Count != _priorMean.Length || priorCovariance.Any(row => row.Count != _priorMean.Length)) throw new ArgumentException("V0 must be square, one row a parameter", nameof(priorCovariance));
        if (!(nu0 >= 0) || !double.IsFinite(nu0)) throw new ArgumentException("nu0 must not be below 0", nameof(nu0));
        if (!(s20 >= 0) || !double.IsFinite(s20)) throw new ArgumentException("s20 must not be below 0", nameof(s20));
        _root = Cholesky.Of(priorCovariance) ?? throw new ArgumentException("V0 must be symmetric without a negative variance", nameof(priorCovariance));
        (_nu0, _s20) = (nu0, s20);
    }

    /// <summary>Measured amounts so far, weighted.</summary>
    public double Amounts { get; private set; }

    /// <summary>Adds one patient.</summary>
    /// <exception cref="ArgumentException">It has a fault; ask <see cref="CaseBlock.Fault"/> first.</exception>
    public void Add(CaseBlock block)
    {
        if (block.Fault(_priorMean.Length) is { } fault) throw new ArgumentException(fault, nameof(block));
        var n = block.Y.Count;
        int[] order = [.. Enumerable.Range(0, n).OrderBy(i => block.Region[i]).ThenBy(i => block.SideFactor[i])];
        var cells = new List<(int Region, double K, int Count)>();
        var cellOf = new int[n];
        var rows = new double[n][];
        foreach (var i in order)
        {
            if (cells.Count > 0 && cells[^1].Region == block.Region[i] && cells[^1].K == block.SideFactor[i]) cells[^1] = cells[^1] with { Count = cells[^1].Count + 1 };
            else cells.Add((block.Region[i], block.SideFactor[i], 1));
            cellOf[i] = cells.Count - 1;
            // Around the prior mean, so that the last step subtracts small numbers only.
            var rest = block.Y[i];
            for (var j = 0; j < _priorMean.Length; j++) rest -= block.X[i][j] * _priorMean[j];
            rows[i] = [.. block.X[i], rest];
        }

        var name = new StringBuilder();
        foreach (var (region, k, count) in cells) name.Append(CultureInfo.InvariantCulture, $"{region}/{k:R}/{count} ");
        if (!_patterns.TryGetValue(name.ToString(), out var pattern)) _patterns[name.ToString()] = pattern = new([.. cells], _priorMean.Length + 1);
        pattern.Add(rows, cellOf, block.Weight);
        Amounts += block.Weight * n;
    }

    /// <summary>What is believed after all patients, if the spread is divided like this.</summary>
    /// <exception cref="ArgumentException">A spread that no face can have.</exception>
    public CasePosterior Under(FaceSpread spread)
    {
        if (!(spread.WholeFace >= 0) || !(spread.Region >= 0) || !(spread.Side > 0)) throw new ArgumentException("tau U and W must not be below 0, tau E must be above 0", nameof(spread));
        var p = _priorMean.Length;
        var sums = new double[(p + 1) * (p + 2) / 2];
        var logH = _patterns.OrderBy(x => x.Key, StringComparer.Ordinal).Sum(x => x.Value.Contribute(spread, sums));
        var a = new double[p, p];
        var b = new double[p];
        double square = 0;
        for (int i = 0, at = 0; i <= p; i++)
            for (var j = i; j <= p; j++, at++)
                if (j < p) a[i, j] = a[j, i] = sums[at];
                else if (i < p) b[i] = sums[at];
                else square = sums[at];
        // Vn = L (I + L'AL)^-1 L' with V0 = LL': good for a parameter that is known as for one of which nothing is.
        var inner = Cholesky.Times(Cholesky.Transposed(_root), Cholesky.Times(a, _root));
        for (var i = 0; i < p; i++) inner[i, i] += 1;
        var root = Cholesky.Of(inner)!;
        var half = Cholesky.Solved(root, Cholesky.Transposed(_root));       // Vn = half' half
        var covariance = Cholesky.Times(Cholesky.Transposed(half), half);
        var logV = 0.0;
        for (var i = 0; i < p; i++) logV -= 2 * Math.Log(root[i, i]);
        var mean = new double[p];
        double explained = 0;
        for (var i = 0; i < p; i++)
        {
            double step = 0;
            for (var j = 0; j < p; j++) step += covariance[i, j] * b[j];
            mean[i] = _priorMean[i] + step;
            explained += step * b[i];
        }

        double nu = _nu0 + Amounts, rest = square - explained, nuS2 = _nu0 * _s20 + Math.Max(0, rest);
        var likelihood = -Amounts / 2 * Math.Log(Math.PI) - logH / 2 + logV / 2 + (_nu0 > 0 ? _nu0 / 2 * Math.Log(_nu0 * _s20) - LogGamma.Of(_nu0 / 2) : 0)
            + (nu > 0 ? LogGamma.Of(nu / 2) - nu / 2 * Math.Log(nuS2) : 0);
        return new(mean, Cholesky.Rows(covariance), nu, nu > 0 ? nuS2 / nu : _s20, likelihood, logH, logV);
    }
}
