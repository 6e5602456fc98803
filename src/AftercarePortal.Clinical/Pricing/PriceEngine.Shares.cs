using System.Globalization;

namespace AftercarePortal.Clinical.Pricing;

/// <content>Why the total is uncertain.</content>
public sealed partial class PriceEngine
{
    /// <summary>Names of the unknowns, in the order of the table.</summary>
    internal static IReadOnlyList<string> Unknowns { get; } = ["answersLeftOpen", "laxity", "bone", "asymmetry", "clinicRecords", "secondVisit", "toxin", "sessions"];

    /// <summary>Every state of the unknowns: how many values each has, then by state its probability and the mean total; the last unknown runs fastest.</summary>
    internal (int[] Sizes, double[] Probability, double[] Mean) Means()
    {
        var theta = Enumerable.Range(-8, 17).Select(i => i * 0.5).ToArray();
        var thetaWeight = theta.Select(NormalCurve.Density).ToArray();
        var thetaSum = thetaWeight.Sum();
        var visit = _case.SecondVisit is { Probability: > 0 } second ? new[] { 1 - second.Probability, second.Probability } : [1.0];
        var toxin = _case.Toxin.SelectMany(row => row.Select(t => t.Units)).Distinct().Order().ToArray();
        var sessions = _case.Sessions.Max(row => row.Length);
        int[] sizes = [_case.Shifts.Count, _case.LaxityShift.Length, _case.BoneShift.Length, _case.SideDifference.Length, theta.Length, visit.Length, toxin.Length, sessions];
        var size = sizes.Aggregate(1, (x, y) => x * y);
        double[] probability = new double[size], mean = new double[size];
        var table = Table();
        var means = table is null ? null : _bases is null ? MeansOf(table) : _bases.Of(KeyOfMeans(table), () => MeansOf(table));
        var doses = _case.Toxin.Select(row => toxin.Select(units => row.Where(u => u.Units == units).Sum(u => u.Probability)).ToArray()).ToArray();
        double[] doseMoney = [.. toxin.Select(units => _case.Taxed(units * _case.ToxinPrice))], sessionMoney = [.. Enumerable.Range(0, sessions).Select(n => _case.Taxed(_sessionCosts[n]))];
        var at = 0;
        for (var m = 0; m < sizes[0]; m++)
            for (var g = 0; g < sizes[1]; g++)
                for (var b = 0; b < sizes[2]; b++)
                    for (var a = 0; a < sizes[3]; a++)
                        for (var t = 0; t < sizes[4]; t++)
                        {
                            var weight = _case.Shifts[m].Weight * _case.LaxityBone[g][b] * _case.SideDifference[a] * thetaWeight[t] / thetaSum;
                            var (first, again) = weight > 0 ? MeanGiven(table, means, _case.Shifts[m], _case.LaxityShift[g] + _case.BoneShift[b], a, theta[t]) : (0, 0);
                            for (var k = 0; k < sizes[5]; k++)
                                for (var x = 0; x < sizes[6]; x++)
                                {
                                    var px = doses[g][x];
                                    for (var n = 0; n < sizes[7]; n++, at++)
                                    {
                                        probability[at] = weight * visit[k] * px * (n < _case.Sessions[g].Length ? _case.Sessions[g][n] : 0);
                                        mean[at] = first + k * again + doseMoney[x] + sessionMoney[n];
                                    }
                                }
                        }

        return (sizes, probability, mean);
    }

    // Means depend on prices too, but on neither answers nor findings.
    private string KeyOfMeans(UnitTable table) => string.Create(CultureInfo.InvariantCulture,
        $"{KeyOfUnits()}|means {table.Step:R} {table.Half} {_case.TauU:R} {_case.TaxBasisPoints} {_case.SecondVisit}|{string.Join('|', _case.Products.Select(p => p.PriceKey))}");

    /// <summary>Mean money of the first and of a second visit, by side level and f2 node at each place of the table, the whole face averaged out: it is known only while treating.</summary>
    private double[,][][] MeansOf(UnitTable table)
    {
        var means = new double[_case.SideDifference.Length, _f2.Length][][];
        for (var a = 0; a < means.GetLength(0); a++)
            for (var f = 0; f < _f2.Length; f++)
            {
                double[] first = new double[2 * table.Half + 1], again = new double[first.Length];
                for (var i = 0; i < first.Length; i++)
                    for (var p = 0; p < _case.Products.Count; p++)
                    {
                        var (one, two) = MeanOf(p, table.Rows[p, a, f][i]);
                        (first[i], again[i]) = (first[i] + one, again[i] + two);
                    }

                var sd = Math.Sqrt(_f2[f]) * _case.TauU;
                means[a, f] = [table.Smoothed(first, sd), _case.SecondVisit is null ? again : table.Smoothed(again, sd)];
            }

        return means;
    }

    private (double First, double Again) MeanOf(int product, double[] units)
    {
        double first = 0, again = 0;
        for (var n = 1; n < units.Length; n++)
        {
            if (!(units[n] > 0)) continue;
            first += units[n] * First(product, n);
            if (_case.SecondVisit is not null) again += units[n] * AgainMean(product, n);
        }

        return (first, again);
    }

    private readonly Dictionary<(int, int), double> _againMean = [];

    private double AgainMean(int product, int first)
    {
        if (!_againMean.TryGetValue((product, first), out var mean)) _againMean[(product, first)] = mean = Again(product, first).Sum(x => x.P * x.Money);
        return mean;
    }

    private (double First, double Again) MeanGiven(UnitTable? table, double[,][][]? means, CommonShift shift, double exam, int a, double theta)
    {
        double first = 0, again = 0;
        for (var f = 0; f < _f2.Length; f++)
        {
            var at = shift.Delta + exam + Math.Sqrt(_f2[f] * shift.SharedVariance) * theta;
            if (table is not null && means is not null)
            {
                var (one, two) = table.At(means[a, f][0], _case.SecondVisit is null ? null : means[a, f][1], at);
                (first, again) = (first + one, again + two);
                continue;
            }

            // Without a table, node by node.
            foreach (var (face, weight) in Own(new(1, 0, 0), Math.Sqrt(_f2[f]) * _case.TauU))
                for (var p = 0; p < _case.Products.Count; p++)
                {
                    var (one, two) = MeanOf(p, Units(p, a, f, at + face));
                    (first, again) = (first + weight * one, again + weight * two);
                }
        }

        return (first / _f2.Length, again / _f2.Length);
    }
}
