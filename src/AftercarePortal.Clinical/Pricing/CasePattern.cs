using System.Runtime.CompilerServices;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Sums over all patients measured in the same places; they are all the regression needs to know of them.</summary>
/// <remarks>Amounts of one region with one side factor are a cell. Within a pattern every patient has the same covariance H, whose inverse only sees cell sums and squares.</remarks>
internal sealed class CasePattern
{
    private readonly (int Region, double K, int Count)[] _cells;
    private readonly int _width;
    private readonly double[] _squares;      // by cell: upper triangle of sum ZZ'
    private readonly double[] _pairs;        // by pair of cells, first at or before second: upper triangle of sum (S_c S_e' + S_e S_c') / 2
    private readonly double[] _sums;

    /// <param name="cells">Region, side factor and how many amounts, in order.</param>
    /// <param name="width">Parameters and one more for the amounts.</param>
    public CasePattern((int Region, double K, int Count)[] cells, int width)
    {
        (_cells, _width) = (cells, width);
        var triangle = width * (width + 1) / 2;
        _squares = new double[cells.Length * triangle];
        _pairs = new double[cells.Length * (cells.Length + 1) / 2 * triangle];
        _sums = new double[cells.Length * width];
    }

    /// <summary>Sum of the weights of the patients.</summary>
    public double Weight { get; private set; }

    /// <summary>Amounts of one patient.</summary>
    public int Amounts => _cells.Sum(c => c.Count);

    /// <summary>Adds one patient; <paramref name="cellOf"/> says which cell each row belongs to.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Add(double[][] rows, int[] cellOf, double weight)
    {
        Weight += weight;
        Array.Clear(_sums);
        var triangle = _width * (_width + 1) / 2;
        for (var r = 0; r < rows.Length; r++)
        {
            var row = rows[r];
            Outer(row, row, weight, _squares.AsSpan(cellOf[r] * triangle, triangle));
            var sum = _sums.AsSpan(cellOf[r] * _width, _width);
            for (var i = 0; i < row.Length; i++) sum[i] += row[i];
        }

        var at = 0;
        for (var c = 0; c < _cells.Length; c++)
            for (var e = c; e < _cells.Length; e++, at += triangle)
                Outer(_sums.AsSpan(c * _width, _width), _sums.AsSpan(e * _width, _width), weight, _pairs.AsSpan(at, triangle));
    }

    private static void Outer(ReadOnlySpan<double> a, ReadOnlySpan<double> b, double weight, Span<double> into)
    {
        var at = 0;
        for (var i = 0; i < a.Length; i++)
        {
            double ai = weight / 2 * a[i], bi = weight / 2 * b[i];
            var left = a.Length - i;
            // Most of a row is 0.
            if (ai != 0 || bi != 0)
                for (var j = 0; j < left; j++) into[at + j] += ai * b[i + j] + bi * a[i + j];
            at += left;
        }
    }

    /// <summary>Adds sum Z'H^-1Z to an upper triangle, and gives sum ln|H| over the patients.</summary>
    public double Contribute(FaceSpread spread, double[] into)
    {
        double u2 = spread.WholeFace * spread.WholeFace, w2 = spread.Region * spread.Region, e2 = spread.Side * spread.Side;
        var triangle = into.Length;
        var d = _cells.Select(c => 1 / (e2 * c.K * c.K)).ToArray();
        var region = _cells.Select(c => 1 + w2 * Enumerable.Range(0, d.Length).Where(e => _cells[e].Region == c.Region).Sum(e => _cells[e].Count * d[e])).ToArray();
        var a = d.Select((v, c) => v / region[c]).ToArray();
        var face = 1 + u2 * a.Select((v, c) => v * _cells[c].Count).Sum();
        var at = 0;
        for (var c = 0; c < d.Length; c++)
        {
            for (var i = 0; i < triangle; i++) into[i] += d[c] * _squares[c * triangle + i];
            for (var e = c; e < d.Length; e++, at += triangle)
            {
                var coefficient = u2 * a[c] * a[e] / face + (_cells[c].Region == _cells[e].Region ? w2 * d[c] * d[e] / region[c] : 0);
                if (e > c) coefficient *= 2;
                for (var i = 0; i < triangle; i++) into[i] -= coefficient * _pairs[at + i];
            }
        }

        var log = Math.Log(face);
        for (var c = 0; c < d.Length; c++)
        {
            log -= _cells[c].Count * Math.Log(d[c]);
            if (c == 0 || _cells[c].Region != _cells[c - 1].Region) log += Math.Log(region[c]);
        }

        return Weight * log;
    }
}
