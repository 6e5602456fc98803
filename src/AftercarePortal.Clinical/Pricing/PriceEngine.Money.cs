using System.Globalization;

namespace AftercarePortal.Clinical.Pricing;

/// <content>From units to money.</content>
public sealed partial class PriceEngine
{
    private const int MostKept = 1000;
    private double[][][]? _second;
    private (long Money, double P)[]?[]? _again;
    private FillerMoney? _fillers;
    private PriceSupport? _support;

    /// <summary>Distribution of one filler's line at the first visit.</summary>
    public PriceDistribution FillerLine(int product) => new(FirstVisitUnits(product).Select((p, n) => KeyValuePair.Create(First(product, n), p)).Where(a => a.Value > 0));

    /// <summary>Distribution of the line of a second visit: 0 when it does not happen.</summary>
    public PriceDistribution SecondVisitLine()
    {
        var visit = _case.SecondVisit?.Probability ?? 0;
        var sum = new Dictionary<long, double>();
        var joint = Joint(Cells());
        for (var i = 0; i < joint.Length; i++)
        {
            if (joint[i] <= 0) continue;
            Put(sum, 0, joint[i] * (1 - visit));
            if (visit <= 0) continue;
            foreach (var (money, p) in AgainAll(i)) Put(sum, money, joint[i] * visit * p);
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

    private IEnumerable<(long Money, double P)> SessionMoney(int g) => _case.Sessions[g].Select((p, n) => (_case.Taxed(_sessionCosts[n]), p));

    private static void Put(Dictionary<long, double> sum, long money, double weight)
    {
        if (weight > 0) sum[money] = sum.GetValueOrDefault(money) + weight;
    }

    private long First(int product, int units) => _case.Taxed(_costs[product][units]);

    private IEnumerable<(long Money, double P)> Again(int product, int first) =>
        SecondUnits(product, first).Select((p, units) => (First(product, units), p)).Where(x => x.p > 0);

    // One second visit for the whole face: every filler is topped up, each by its own amount.
    private (long Money, double P)[] AgainAll(int row) => (_again ??= KeptAgains())[row] ??= [.. AgainOf(row)];

    private (long Money, double P)[]?[] KeptAgains() =>
        _bases is null || Rows > MostKept ? new (long, double)[Rows][] : _bases.Of(KeyOfMoney("again"), () => Enumerable.Range(0, Rows).Select(row => AgainOf(row).ToArray()).ToArray());

    private IEnumerable<(long Money, double P)> AgainOf(int row)
    {
        IEnumerable<(long Money, double P)> all = [(0, 1)];
        for (var p = 0; p < _places.Length; p++)
        {
            var own = Again(p, UnitsAt(row, p)).ToArray();
            all = all.SelectMany(_ => own, (x, y) => (x.Money + y.Money, x.P * y.P));
        }

        return all;
    }

    private long FirstAll(int row)
    {
        long sum = 0;
        for (var p = 0; p < _places.Length; p++) sum += First(p, UnitsAt(row, p));
        return sum;
    }

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
        for (var k = 1; k <= _case.MostUnits && first > 0 && _case.SecondVisit is { } second; k++)
        {
            var at = Math.Log((k * price.UnitMl + price.ToleranceMl) / (first * price.UnitMl)) - Math.Log(second.Share);
            var now = k == _case.MostUnits ? 1 : second.Sd > 0 ? NormalCurve.Below(at / second.Sd) : at >= 0 ? 1 : 0;
            units[k] = now - before;
            before = now;
            if (now >= 1) break;
        }

        return units;
    }

    private double[] Joint(IEnumerable<(int G, int B, int A, double Weight)> cells)
    {
        var joint = new double[Rows];
        foreach (var (g, b, a, weight) in cells)
            WeightedRow.Add(joint, UnitsByCell[g, b, a], weight);
        return joint;
    }

    /// <summary>Money of all fillers, both visits, for each possible count of units at the first.</summary>
    private FillerMoney Fillers => _fillers ??= KeptFillers();

    private FillerMoney KeptFillers()
    {
        var joint = Joint(Cells());
        return _bases is null || Rows > MostKept ? Made() : _bases.Of($"{KeyOfMoney("fillers")}|{string.Concat(joint.Select(p => p > 0 ? '1' : '0'))}", Made);

        FillerMoney Made() => FillerMoney.Of(joint.Select((p, row) => p > 0 ? MoneyOf(row) : []));
    }

    // What counts of units cost depends on prices and on how a second visit goes, on no answer and no finding.
    private string KeyOfMoney(string what) => string.Create(CultureInfo.InvariantCulture, $"{what} {_case.MostUnits} {_case.TaxBasisPoints} {_case.SecondVisit}|{string.Join('|', _case.Products.Select(p => p.PriceKey))}");

    private IEnumerable<(long Money, double P)> MoneyOf(int row)
    {
        var (first, visit) = (FirstAll(row), _case.SecondVisit?.Probability ?? 0);
        if (visit < 1) yield return (first, 1 - visit);
        if (visit <= 0) yield break;
        foreach (var (again, p) in AgainAll(row)) yield return (first + again, visit * p);
    }

    private PriceSupport Support => _support ??= new(
        Fillers.Values,
        [.. Enumerable.Range(0, _case.LaxityShift.Length).Select(g => ToxinMoney(g).SelectMany(_ => SessionMoney(g), (x, y) => (x.Money + y.Money + _case.Taxed(_case.Fee), x.P * y.P)).Where(x => x.Item2 > 0).ToArray())]);

    /// <summary>Distribution of the total, given that one of these cells is true.</summary>
    internal PriceDistribution TotalGiven(IReadOnlyList<(int G, int B, int A, double Weight)> cells)
    {
        var whole = cells.Sum(c => c.Weight);
        var sum = Support.Empty();
        foreach (var group in cells.GroupBy(c => c.G)) Support.Add(sum, group.Key, Fillers.Mix(Joint(group)), 1 / whole);
        return Support.Of(sum);
    }

    /// <summary>The fillers alone of one cell: once toxin and sessions are decided they only move the total, which a score does not feel.</summary>
    internal PriceDistribution FillersGiven((int G, int B, int A, double Weight) cell)
    {
        var mass = Fillers.Mix(UnitsByCell[cell.G, cell.B, cell.A]);
        return PriceDistribution.Rising(Fillers.Values, mass);
    }
}
