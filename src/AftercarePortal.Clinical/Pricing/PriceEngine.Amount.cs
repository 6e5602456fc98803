using System.Globalization;

namespace AftercarePortal.Clinical.Pricing;

/// <content>mL before they become units.</content>
public sealed partial class PriceEngine
{
    // On the log scale a common shift only moves a distribution: one table for all.
    private const double LogStep = 0.02;
    private const double LeastMl = 0.005;
    private double[]? _below;

    /// <summary>mL of all fillers of the first product at the first visit. Error of a percentile below 0.1 percent.</summary>
    public AmountForecast FirstVisitMl()
    {
        var below = BelowByLog();
        var percentiles = new double[99];
        for (int p = 1, i = 1; p <= 99; p++)
        {
            while (i < below.Length - 1 && below[i] < p / 100.0) i++;
            var part = Math.Clamp((p / 100.0 - below[i - 1]) / Math.Max(1e-15, below[i] - below[i - 1]), 0, 1);
            percentiles[p - 1] = Math.Exp(Math.Log(LeastMl) + (i - 1 + part) * LogStep);
        }

        return new(AmountForecast.All, percentiles);
    }

    /// <summary>Probability that the first product's first visit takes more than so many mL. Only says that it may be staged; cuts nothing.</summary>
    public double ChanceAbove(double ml)
    {
        var below = BelowByLog();
        var at = (Math.Log(ml) - Math.Log(LeastMl)) / LogStep;
        if (at <= 0) return 1;
        if (at >= below.Length - 1) return 0;
        var k = (int)at;
        return Math.Max(0, 1 - below[k] - (at - k) * (below[k + 1] - below[k]));
    }

    private static int Places(double mostMl) => (int)Math.Ceiling((Math.Log(mostMl) - Math.Log(LeastMl)) / LogStep) + 1;

    /// <summary>Probability of at most so much at each step of the log scale, whatever the examination finds.</summary>
    private double[] BelowByLog()
    {
        if (_below is not null) return _below;
        var curves = _bases is null ? BeforeExam() : _bases.Of($"{KeyOfShifts()}|mL", BeforeExam);
        var (reach, count) = (ReachOfExam(), Places(_case.MostMl));
        var below = new double[count];
        for (var a = 0; a < _case.SideDifference.Length; a++)
        {
            if (_case.SideDifference[a] <= 0) continue;
            var moves = new double[2 * reach + 1];
            for (var g = 0; g < _case.LaxityShift.Length; g++)
                for (var b = 0; b < _case.BoneShift.Length; b++) Share(moves, _case.LaxityShift[g] + _case.BoneShift[b], _case.LaxityBone[g][b] * _case.SideDifference[a]);
            Moved(curves[a], moves, below);
        }

        return _below = below;
    }

    // How far an examination can move a curve, in steps.
    private int ReachOfExam() => (int)Math.Ceiling((_case.LaxityShift.Max(Math.Abs) + _case.BoneShift.Max(Math.Abs)) / LogStep) + 1;

    // By level of left-right difference, with room for the examination to move it.
    private double[][] BeforeExam()
    {
        var count = Places(_case.MostMl) + 2 * ReachOfExam();
        var curves = new double[_case.SideDifference.Length][];
        for (var a = 0; a < curves.Length; a++)
        {
            curves[a] = new double[count];
            for (var f = 0; f < _f2.Length; f++)
            {
                var nodes = CommonFactor(a, f);
                var reach = (int)Math.Ceiling(nodes.Max(n => Math.Abs(n.Shift)) / LogStep) + 1;
                var moves = new double[2 * reach + 1];
                foreach (var (shift, weight) in nodes) Share(moves, shift, weight / _f2.Length);
                var own = new double[count + 2 * reach];
                var start = Math.Log(LeastMl) - (ReachOfExam() + reach) * LogStep;
                for (var i = 0; i < own.Length; i++) own[i] = _base[0, a, f].Below(Math.Exp(start + i * LogStep));
                Moved(own, moves, curves[a]);
            }
        }

        return curves;
    }

    // A shift between two steps is shared between them; the middle entry is no shift.
    private static void Share(double[] moves, double shift, double weight)
    {
        var at = shift / LogStep + moves.Length / 2;
        var k = (int)at;
        moves[k] += weight * (1 - (at - k));
        moves[k + 1] += weight * (at - k);
    }

    // Adds the curve at every moved place; it reaches far enough to both sides that each has its value.
    private static void Moved(double[] curve, double[] moves, double[] into)
    {
        for (var m = 0; m < moves.Length; m++)
        {
            if (moves[m] is not (> 1e-15 and var weight)) continue;
            var from = moves.Length - 1 - m;
            WeightedRow.Add(into, curve.AsSpan(from, into.Length), weight);
        }
    }

    // The faces with the shifts all of them share.
    private string KeyOfShifts() => string.Create(CultureInfo.InvariantCulture,
        $"{KeyOfFaces()}|{_case.TauU:R}|{Numbers(_case.LaxityShift)}|{Numbers(_case.BoneShift)}|{string.Join('|', _case.Shifts.Select(s => Numbers([s.Weight, s.Delta, s.SharedVariance])))}");
}
