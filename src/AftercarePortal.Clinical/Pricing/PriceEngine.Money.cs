namespace AftercarePortal.Clinical.Pricing;

/// <content>From units to money.</content>
public sealed partial class PriceEngine
{
    private double[][][]? _second;

    /// <summary>Distribution of one filler's own line, both visits.</summary>
    public PriceDistribution FillerLine(int product)
    {
        var units = FirstVisitUnits(product);
        var sum = new Dictionary<long, double>();
        for (var n = 0; n < units.Length; n++)
        {
            if (units[n] <= 0) continue;
            var p = _case.SecondVisit?.Probability ?? 0;
            Put(sum, First(product, n), units[n] * (1 - p));
            if (p > 0) foreach (var (money, weight) in Again(product, n)) Put(sum, First(product, n) + money, units[n] * p * weight);
        }

        return new(sum);
    }

    /// <summary>Distribution of the toxin line; all at 0 when none is counted.</summary>
    public PriceDistribution ToxinLine() => ByLaxity(ToxinMoney);

    /// <summary>Distribution of the sessions line.</summary>
    public PriceDistribution SessionLine() => ByLaxity(SessionMoney);

    private PriceDistribution ByLaxity(Func<int, IEnumerable<(long Money, double P)>> of)
    {
        var sum = new Dictionary<long, double>();
        foreach (var (g, _, _, weight) in Cells())
            foreach (var (money, p) in of(g)) Put(sum, money, weight * p);
        return new(sum);
    }

    private IEnumerable<(long Money, double P)> ToxinMoney(int g) => _case.Toxin[g].Select(t => (_case.Taxed(t.Units * _case.ToxinPrice), t.Probability));

    private IEnumerable<(long Money, double P)> SessionMoney(int g) => _case.Sessions[g].Select((p, n) => (_case.Taxed(n * _case.SessionPrice), p));

    private static void Put(Dictionary<long, double> sum, long money, double weight)
    {
        if (weight > 0) sum[money] = sum.GetValueOrDefault(money) + weight;
    }

    private long First(int product, int units) => _case.Taxed(_case.Products[product].PriceOf(units));

    private IEnumerable<(long Money, double P)> Again(int product, int first) =>
        SecondUnits(product, first).Select((p, units) => (_case.Taxed(_case.Products[product].PriceOf(units)), p)).Where(x => x.p > 0);

    /// <summary>Units at a second visit that happens, given the first; at least 1.</summary>
    private double[] SecondUnits(int product, int first)
    {
        _second ??= [.. Enumerable.Range(0, _case.Products.Count).Select(p => Enumerable.Range(0, _case.MostUnits + 1).Select(n => Second(p, n)).ToArray())];
        return _second[product][first];
    }

    private double[] Second(int product, int first)
    {
        var units = new double[_case.MostUnits + 1];
        var price = _case.Products[product].Price;
        double before = 0;
        for (var k = 1; k <= _case.MostUnits && first > 0; k++)
        {
            var at = (Math.Log((k * price.UnitMl + price.ToleranceMl) / (first * price.UnitMl)) - Math.Log(_case.SecondVisit!.Share)) / _case.SecondVisit.Sd;
            var now = k == _case.MostUnits ? 1 : NormalCurve.Below(at);
            units[k] = now - before;
            before = now;
            if (now >= 1) break;
        }

        return units;
    }

    /// <summary>Fillers of both visits, mixed over some cells; weights need not add up to 1.</summary>
    private Dictionary<long, double> Fillers(IEnumerable<(int G, int B, int A, double Weight)> cells)
    {
        var joint = new double[Rows * Columns];
        foreach (var (g, b, a, weight) in cells)
            for (var i = 0; i < joint.Length; i++) joint[i] += weight * _joint[g, b, a][i];
        var sum = new Dictionary<long, double>();
        if (_case.Products.Count == 0) return new() { [0] = joint[0] };
        var visit = _case.SecondVisit?.Probability ?? 0;
        for (var i = 0; i < Rows; i++)
            for (var j = 0; j < Columns; j++)
            {
                if (joint[i * Columns + j] is not (> 0 and var mass)) continue;
                var money = First(0, i) + (Columns > 1 ? First(1, j) : 0);
                Put(sum, money, mass * (1 - visit));
                if (visit <= 0) continue;
                // One second visit for the whole face: every filler is topped up, each by its own amount.
                foreach (var (again, p) in Again(0, i))
                {
                    if (Columns == 1) { Put(sum, money + again, mass * visit * p); continue; }
                    foreach (var (other, q) in Again(1, j)) Put(sum, money + again + other, mass * visit * p * q);
                }
            }

        return sum;
    }

    private SortedDictionary<long, double> TotalGiven(IEnumerable<(int G, int B, int A, double Weight)> cells)
    {
        var all = cells.ToList();
        var whole = all.Sum(c => c.Weight);
        var sum = new Dictionary<long, double>();
        foreach (var group in all.GroupBy(c => c.G))
        {
            var extras = new Dictionary<long, double>();
            foreach (var (toxin, p) in ToxinMoney(group.Key))
                foreach (var (session, q) in SessionMoney(group.Key)) Put(extras, toxin + session + _case.Taxed(_case.Fee), p * q);
            foreach (var (money, weight) in Fillers(group))
                foreach (var (extra, p) in extras) Put(sum, money + extra, weight * p / whole);
        }

        return new(sum);
    }
}
