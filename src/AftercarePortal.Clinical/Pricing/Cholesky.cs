namespace AftercarePortal.Clinical.Pricing;

/// <summary>Small symmetric matrices.</summary>
internal static class Cholesky
{
    /// <summary>Lower triangular L with LL' = m; null when m is not symmetric or has a negative direction. A direction of variance 0 stays 0.</summary>
    public static double[,]? Of(IReadOnlyList<IReadOnlyList<double>> m)
    {
        var full = new double[m.Count, m.Count];
        for (var i = 0; i < m.Count; i++)
            for (var j = 0; j < m.Count; j++)
            {
                if (!double.IsFinite(m[i][j]) || Math.Abs(m[i][j] - m[j][i]) > 1e-9 * (1 + Math.Abs(m[i][j]))) return null;
                full[i, j] = m[i][j];
            }

        return Of(full);
    }

    /// <summary>The same of a symmetric matrix.</summary>
    public static double[,]? Of(double[,] m)
    {
        var n = m.GetLength(0);
        var l = new double[n, n];
        for (var i = 0; i < n; i++)
            for (var j = 0; j <= i; j++)
            {
                var sum = m[i, j];
                for (var k = 0; k < j; k++) sum -= l[i, k] * l[j, k];
                var tiny = 1e-13 * Math.Max(1e-300, m[i, i]);
                if (i > j) l[i, j] = l[j, j] > 0 ? sum / l[j, j] : 0;
                else if (sum < -1e-9 * Math.Max(1, m[i, i])) return null;
                else l[i, i] = sum > tiny ? Math.Sqrt(sum) : 0;
            }

        return l;
    }

    /// <summary>L^-1 m, for L without a 0 on its diagonal.</summary>
    public static double[,] Solved(double[,] l, double[,] m)
    {
        int n = l.GetLength(0), columns = m.GetLength(1);
        var x = new double[n, columns];
        for (var c = 0; c < columns; c++)
            for (var i = 0; i < n; i++)
            {
                var sum = m[i, c];
                for (var k = 0; k < i; k++) sum -= l[i, k] * x[k, c];
                x[i, c] = sum / l[i, i];
            }

        return x;
    }

    /// <summary>a b.</summary>
    public static double[,] Times(double[,] a, double[,] b)
    {
        int n = a.GetLength(0), inner = a.GetLength(1), columns = b.GetLength(1);
        var product = new double[n, columns];
        for (var i = 0; i < n; i++)
            for (var k = 0; k < inner; k++)
                for (var j = 0; a[i, k] != 0 && j < columns; j++) product[i, j] += a[i, k] * b[k, j];
        return product;
    }

    /// <summary>m'.</summary>
    public static double[,] Transposed(double[,] m)
    {
        var t = new double[m.GetLength(1), m.GetLength(0)];
        for (var i = 0; i < m.GetLength(0); i++)
            for (var j = 0; j < m.GetLength(1); j++) t[j, i] = m[i, j];
        return t;
    }

    /// <summary>Row by row.</summary>
    public static double[][] Rows(double[,] m) =>
        [.. Enumerable.Range(0, m.GetLength(0)).Select(i => Enumerable.Range(0, m.GetLength(1)).Select(j => m[i, j]).ToArray())];
}
