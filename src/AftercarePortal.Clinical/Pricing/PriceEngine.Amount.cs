namespace AftercarePortal.Clinical.Pricing;

/// <content>mL before they become units.</content>
public sealed partial class PriceEngine
{
    // On the log scale a common shift only moves a distribution: one table for all.
    private const double LogStep = 0.02;

    /// <summary>mL of all fillers of the first product at the first visit. Error of a percentile below 0.1 percent.</summary>
    public AmountForecast FirstVisitMl()
    {
        double lowest = Math.Log(0.005), highest = Math.Log(_case.MostMl);
        var count = (int)Math.Ceiling((highest - lowest) / LogStep) + 1;
        var below = new double[count];
        for (var a = 0; a < _case.SideDifference.Length; a++)
        {
            if (_case.SideDifference[a] <= 0) continue;
            for (var f = 0; f < _f2.Length; f++)
            {
                var moves = Moves(a, f);
                // Far enough to both sides that every moved place has its value.
                var curve = new double[count + moves.Length];
                for (var i = 0; i < curve.Length; i++) curve[i] = _base[0, a, f].Below(Math.Exp(lowest + (i - moves.Length / 2) * LogStep));
                for (var m = 0; m < moves.Length; m++)
                {
                    if (moves[m] * _case.SideDifference[a] / _f2.Length is not (> 1e-12 and var weight)) continue;
                    var from = moves.Length - 1 - m;
                    for (var i = 0; i < count; i++) below[i] += weight * curve[from + i];
                }
            }
        }

        var percentiles = new double[99];
        for (int p = 1, i = 1; p <= 99; p++)
        {
            while (i < count - 1 && below[i] < p / 100.0) i++;
            var part = Math.Clamp((p / 100.0 - below[i - 1]) / Math.Max(1e-15, below[i] - below[i - 1]), 0, 1);
            percentiles[p - 1] = Math.Exp(lowest + (i - 1 + part) * LogStep);
        }

        return new(AmountForecast.All, percentiles);
    }

    /// <summary>Probability of each common shift on the steps of the log scale; the middle entry is no shift. A shift between two steps is shared between them.</summary>
    private double[] Moves(int a, int f)
    {
        var nodes = CommonFactor(a, f);
        var exam = from g in Enumerable.Range(0, _case.LaxityShift.Length)
                   from b in Enumerable.Range(0, _case.BoneShift.Length)
                   where _case.LaxityBone[g][b] > 0
                   select (Shift: _case.LaxityShift[g] + _case.BoneShift[b], Weight: _case.LaxityBone[g][b]);
        var all = exam.ToArray();
        var reach = (int)Math.Ceiling((nodes.Max(n => Math.Abs(n.Shift)) + all.Max(e => Math.Abs(e.Shift))) / LogStep) + 1;
        var moves = new double[2 * reach + 1];
        foreach (var (shift, weight) in nodes)
            foreach (var (found, likely) in all)
            {
                var at = (shift + found) / LogStep + reach;
                var k = (int)at;
                moves[k] += weight * likely * (1 - (at - k));
                moves[k + 1] += weight * likely * (at - k);
            }

        return moves;
    }
}
