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
        var means = _bases is null ? MeanByShift() : _bases.Of(KeyOfMeans(), MeanByShift);
        var doses = _case.Toxin.Select(row => toxin.Select(units => row.Where(u => u.Units == units).Sum(u => u.Probability)).ToArray()).ToArray();
        var at = 0;
        for (var m = 0; m < sizes[0]; m++)
            for (var g = 0; g < sizes[1]; g++)
                for (var b = 0; b < sizes[2]; b++)
                    for (var a = 0; a < sizes[3]; a++)
                        for (var t = 0; t < sizes[4]; t++)
                        {
                            var weight = _case.Shifts[m].Weight * _case.LaxityBone[g][b] * _case.SideDifference[a] * thetaWeight[t] / thetaSum;
                            var (first, again) = weight > 0 ? MeanGiven(means, _case.Shifts[m], _case.LaxityShift[g] + _case.BoneShift[b], a, theta[t]) : (0, 0);
                            for (var k = 0; k < sizes[5]; k++)
                                for (var x = 0; x < sizes[6]; x++)
                                {
                                    var px = doses[g][x];
                                    for (var n = 0; n < sizes[7]; n++, at++)
                                    {
                                        probability[at] = weight * visit[k] * px * (n < _case.Sessions[g].Length ? _case.Sessions[g][n] : 0);
                                        mean[at] = first + k * again + _case.Taxed(toxin[x] * _case.ToxinPrice) + _case.Taxed(n * _case.SessionPrice);
                                    }
                                }
                        }

        return (sizes, probability, mean);
    }

    private const double ShiftStep = 0.02;

    // Means depend on prices too, but not on how likely a finding is.
    private string KeyOfMeans() => string.Create(CultureInfo.InvariantCulture,
        $"{KeyOfUnits()}|means {_case.TaxBasisPoints} {_case.SecondVisit}|{string.Join('|', _case.Products.Select(p => p.Price))}");

    private MeanTable MeanByShift()
    {
        var widest = _case.Shifts.Max(s => Math.Abs(s.Delta) + Math.Sqrt(_f2.Max()) * (4 * Math.Sqrt(s.SharedVariance) + 6 * _case.TauU))
            + _case.LaxityShift.Max(Math.Abs) + _case.BoneShift.Max(Math.Abs) + 2 * ShiftStep;
        var count = (int)Math.Ceiling(2 * widest / ShiftStep) + 2;
        var table = new (double, double)[_case.SideDifference.Length, _f2.Length][];
        for (var a = 0; a < _case.SideDifference.Length; a++)
            for (var f = 0; f < _f2.Length; f++)
            {
                table[a, f] = new (double, double)[count];
                for (var i = 0; i < count; i++)
                {
                    double first = 0, again = 0;
                    for (var p = 0; p < _case.Products.Count; p++)
                    {
                        var units = Units(p, a, f, -widest + i * ShiftStep);
                        for (var n = 1; n < units.Length; n++)
                        {
                            first += units[n] * First(p, n);
                            if (_case.SecondVisit is not null) again += units[n] * AgainMean(p, n);
                        }
                    }

                    table[a, f][i] = (first, again);
                }

                table[a, f] = OverFaces(table[a, f], Math.Sqrt(_f2[f]) * _case.TauU);
            }

        return new(-widest, table);
    }

    // The whole face is known only while treating: its part of the shift is averaged out once, for every place of the table.
    private static (double First, double Again)[] OverFaces((double First, double Again)[] table, double sd)
    {
        if (sd <= 0) return table;
        var nodes = Enumerable.Range(-24, 49).Select(i => (Places: i * 0.25 * sd / ShiftStep, Weight: NormalCurve.Density(i * 0.25))).ToArray();
        var weights = nodes.Sum(n => n.Weight);
        var mean = new (double First, double Again)[table.Length];
        for (var i = 0; i < table.Length; i++)
        {
            double first = 0, again = 0;
            foreach (var (places, weight) in nodes)
            {
                var at = Math.Clamp(i + places, 0, table.Length - 1.000001);
                var k = (int)at;
                first += weight * (table[k].First + (at - k) * (table[k + 1].First - table[k].First));
                again += weight * (table[k].Again + (at - k) * (table[k + 1].Again - table[k].Again));
            }

            mean[i] = (first / weights, again / weights);
        }

        return mean;
    }

    private readonly Dictionary<(int, int), double> _againMean = [];

    private double AgainMean(int product, int first)
    {
        if (!_againMean.TryGetValue((product, first), out var mean)) _againMean[(product, first)] = mean = Again(product, first).Sum(x => x.P * x.Money);
        return mean;
    }

    private sealed record MeanTable(double Start, (double First, double Again)[,][] Table);

    private (double First, double Again) MeanGiven(MeanTable means, CommonShift shift, double exam, int a, double theta)
    {
        double first = 0, again = 0;
        for (var f = 0; f < _f2.Length; f++)
        {
            var at = (shift.Delta + exam + Math.Sqrt(_f2[f] * shift.SharedVariance) * theta - means.Start) / ShiftStep;
            var k = (int)at;
            var row = means.Table[a, f];
            first += row[k].First + (at - k) * (row[k + 1].First - row[k].First);
            again += row[k].Again + (at - k) * (row[k + 1].Again - row[k].Again);
        }

        return (first / _f2.Length, again / _f2.Length);
    }
}
