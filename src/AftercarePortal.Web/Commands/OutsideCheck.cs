using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Pricing;

namespace AftercarePortal.Web.Commands;

/// <summary>Runs the learning and the variance shares on data others published and compares with what others found (<c>outside</c> of a vector file).</summary>
internal static class OutsideCheck
{
    // As flat as a prior can be while the sums stay exact.
    private const double Flat = 1e9;

    private static readonly Dictionary<string, Func<Dictionary<string, (double[] Ours, double Allowed)>>> Kinds = new()
    {
        ["newcomb"] = Newcomb, ["dyestuff"] = Dyestuff, ["pixel"] = Pixel, ["ishigami"] = Ishigami,
    };

    internal static bool Knows(string kind) => Kinds.ContainsKey(kind);

    /// <summary>Differences by field, relative for numbers above 1.</summary>
    /// <exception cref="FormatException">A field has another shape.</exception>
    internal static IReadOnlyList<(string, double, double)> Run(string kind, JsonNode? node, List<string> skipped)
    {
        var expected = VectorShape.Object(node, kind);
        var ours = Kinds[kind]();
        skipped.AddRange(expected.Select(p => p.Key).Where(k => !ours.ContainsKey(k) && k is not ("source" or "note")));
        return [.. ours.Where(o => expected.ContainsKey(o.Key)).Select(o => (o.Key, VectorShape.Apart(o.Value.Ours, expected[o.Key] is JsonArray list ? VectorShape.Numbers(list, o.Key) : [VectorShape.Number(expected[o.Key], o.Key)], o.Key), o.Value.Allowed))];
    }

    private static Dictionary<string, (double[], double)> Newcomb()
    {
        var all = OutsideData.Newcomb;
        var regression = new CaseRegression([0], [[Flat]], 0, 0);
        foreach (var y in all) regression.Add(new([y], [[1]], [0], [1]));
        var (mean, posterior) = (0.0, regression.Under(new(0, 0, 1)));
        mean = posterior.Mean[0];
        // The flat prior in the mean costs one degree of freedom, which the conjugate form does not count.
        var s2 = posterior.S2 * posterior.Nu / (all.Count - 1);
        var half = StudentQuantile(0.975, all.Count - 1) * Math.Sqrt(s2 * posterior.Covariance[0][0]);
        return new() { ["n"] = ([all.Count], 0), ["mean"] = ([mean], 1e-6), ["sd"] = ([Math.Sqrt(s2)], 1e-6), ["interval95"] = ([mean - half, mean + half], 1e-6) };
    }

    private static Dictionary<string, (double[], double)> Dyestuff()
    {
        var regression = new CaseRegression([0], [[Flat]], 0, 0);
        foreach (var batch in OutsideData.Dyestuff) regression.Add(new(batch, [.. batch.Select(_ => new[] { 1.0 })], [.. batch.Select(_ => 0)], [.. batch.Select(_ => 1.0)]));
        var n = OutsideData.Dyestuff.Sum(b => b.Length);
        var best = Highest([0.8], at => Restricted(regression.Under(new(Math.Exp(at[0]), 0, 1)), n, 1));
        var posterior = regression.Under(new(Math.Exp(best[0]), 0, 1));
        var residual = Math.Sqrt(posterior.S2 * posterior.Nu / (n - 1));
        return new()
        {
            ["tauRatio"] = ([Math.Exp(2 * best[0])], 2e-5), ["sigmaBatch"] = ([residual * Math.Exp(best[0])], 2e-5), ["sigmaResidual"] = ([residual], 2e-5),
            ["mean"] = (posterior.Mean, 1e-6), ["se"] = ([residual * Math.Sqrt(posterior.Covariance[0][0])], 3e-5),
        };
    }

    private static Dictionary<string, (double[], double)> Pixel()
    {
        // Days in units of ten, so that the three columns are about equally large.
        var regression = new CaseRegression([7, 0, 0], [[Flat, 0, 0], [0, Flat, 0], [0, 0, Flat]], 0, 0);
        foreach (var dog in OutsideData.Pixel.GroupBy(p => p.Dog))
            regression.Add(new([.. dog.Select(p => Math.Log(p.Pixel))], [.. dog.Select(p => new[] { 1, p.Day / 10, p.Day * p.Day / 100 })], [.. dog.Select(p => p.Side)], [.. dog.Select(_ => 1.0)]));
        var n = OutsideData.Pixel.Count;
        var best = Highest([0.5, 0.2], at => Restricted(regression.Under(new(Math.Exp(at[0]), Math.Exp(at[1]), 1)), n, 3));
        var posterior = regression.Under(new(Math.Exp(best[0]), Math.Exp(best[1]), 1));
        var residual = Math.Sqrt(posterior.S2 * posterior.Nu / (n - 3));
        double[] unit = [1, 0.1, 0.01];
        return new()
        {
            ["sigmaDog"] = ([residual * Math.Exp(best[0])], 1e-7), ["sigmaSide"] = ([residual * Math.Exp(best[1])], 1e-7), ["sigmaResidual"] = ([residual], 1e-7),
            ["fixed"] = ([.. posterior.Mean.Select((m, i) => m * unit[i])], 1e-7), ["se"] = ([.. unit.Select((u, i) => u * residual * Math.Sqrt(posterior.Covariance[i][i]))], 1e-7),
        };
    }

    // Restricted likelihood of a flat prior, without its constant: the conjugate form with nu0 -> 0 is another one.
    private static double Restricted(CasePosterior posterior, int n, int parameters) => -posterior.LogH / 2 + posterior.LogV / 2 - (n - parameters) / 2.0 * Math.Log(posterior.Nu * posterior.S2);

    // Compass search: slow and sure.
    private static double[] Highest(double[] start, Func<double[], double> of)
    {
        double[] at = [.. start.Select(v => Math.Log(v))];
        var best = of(at);
        for (var step = 0.5; step > 1e-9;)
        {
            var moved = false;
            for (var i = 0; i < at.Length; i++)
                foreach (var sign in new[] { 1, -1 })
                {
                    double[] next = [.. at];
                    next[i] += sign * step;
                    if (of(next) is var value && value > best) (at, best, moved) = (next, value, true);
                }

            if (!moved) step /= 2;
        }

        return at;
    }

    // f = sin x1 + 7 sin^2 x2 + 0.1 x3^4 sin x1, each x uniform on -pi..pi.
    private static Dictionary<string, (double[], double)> Ishigami()
    {
        var nodes = GaussLegendre(40);
        var probability = from a in nodes from b in nodes from c in nodes select a.Weight * b.Weight * c.Weight / 8;
        var mean = from a in nodes from b in nodes from c in nodes select Math.Sin(Math.PI * a.X) * (1 + 0.1 * Math.Pow(Math.PI * c.X, 4)) + 7 * Math.Pow(Math.Sin(Math.PI * b.X), 2);
        var shares = VarianceShares.Of([40, 40, 40], [.. probability], [.. mean]);
        return new() { ["variance"] = ([shares.Sum()], 1e-8), ["shapley"] = ([.. shares.Select(s => s / shares.Sum())], 1e-8) };
    }

    private static (double X, double Weight)[] GaussLegendre(int n) => [.. Enumerable.Range(0, n).Select(i =>
    {
        var x = Math.Cos(Math.PI * (i + 0.75) / (n + 0.5));
        double slope = 0;
        for (var turn = 0; turn < 100; turn++)
        {
            double before = 0, now = 1;
            for (var k = 0; k < n; k++) (before, now) = (now, ((2 * k + 1) * x * now - k * before) / (k + 1));
            slope = n * (x * now - before) / (x * x - 1);
            var step = now / slope;
            x -= step;
            if (Math.Abs(step) < 1e-16) break;
        }

        return (x, 2 / ((1 - x * x) * slope * slope));
    })];

    // By Simpson on the density and bisection: a check may be slow.
    private static double StudentQuantile(double level, int df)
    {
        static double Area(double to, int df)
        {
            const int steps = 2000;
            double Density(double t) => Math.Pow(1 + t * t / df, -(df + 1) / 2.0);
            double Sum(double end) => Enumerable.Range(0, steps + 1).Sum(i => (i is 0 or steps ? 1 : i % 2 == 1 ? 4 : 2) * Density(end * i / steps)) * end / steps / 3;
            return 0.5 + Sum(to) / Sum(200) / 2;
        }

        double low = 0, high = 20;
        while (high - low > 1e-12) (low, high) = Area((low + high) / 2, df) < level ? ((low + high) / 2, high) : (low, (low + high) / 2);
        return low;
    }
}
