using System.Globalization;
using System.Runtime.CompilerServices;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>The exact distribution of a total: no random draws, the same bits for the same case.</summary>
/// <remarks>Laxity, bone, clinic level and the whole face act as one common factor, so one convolution of regions serves every combination.</remarks>
public sealed partial class PriceEngine
{
    private readonly PriceCase _case;
    private readonly double[] _f2;
    private readonly PriceBases? _bases;
    private readonly VolumeGrid[,,] _base;      // product, side level, f2 node
    private readonly UnitCosts[] _costs;        // by product
    private readonly UnitCosts _sessionCosts;
    private readonly int[] _places;             // by product: how far neighbouring counts lie apart in a table of units
    private UnitTable? _table;
    private bool _tableAsked;
    private double[,,][]? _joint;               // laxity, bone, side level -> units of all products, the last running fastest

    /// <summary>Works the case out.</summary>
    /// <param name="price">The case.</param>
    /// <param name="sameFaces">An engine of the same faces with other prices, whose volumes can be used again; null when there is none.</param>
    /// <param name="bases">Volumes kept from earlier cases; null when none are.</param>
    /// <exception cref="ArgumentException">The case has faults; ask <see cref="PriceCase.Faults"/> first.</exception>
    public PriceEngine(PriceCase price, PriceEngine? sameFaces = null, PriceBases? bases = null)
    {
        if (price.Faults() is [var first, ..]) throw new ArgumentException(first, nameof(price));
        _case = price;
        _places = [.. Enumerable.Range(0, price.Products.Count).Select(p => (int)Math.Pow(price.MostUnits + 1, price.Products.Count - 1 - p))];
        _costs = [.. price.Products.Select(p => p.Costs(price.MostUnits))];
        _sessionCosts = new(price.SessionPrice, price.SessionPrice, price.SessionPackages, price.Sessions.Max(row => row.Length));
        _f2 = price.Nu is { } nu
            ? [.. Enumerable.Range(0, 5).Select(i => InverseGamma.Quantile((i + 0.5) / 5, nu / 2, nu * price.S2 / 2))]
            : [price.S2];
        _bases = bases;
        _base = sameFaces is not null && HasFacesOf(sameFaces._case) ? sameFaces._base : bases is null ? Volumes() : bases.Of(KeyOfFaces(), Volumes);
    }

    private VolumeGrid[,,] Volumes()
    {
        var grids = new VolumeGrid[_case.Products.Count, _case.SideDifference.Length, _f2.Length];
        for (var p = 0; p < _case.Products.Count; p++)
            for (var a = 0; a < _case.SideDifference.Length; a++)
                for (var f = 0; f < _f2.Length; f++)
                    grids[p, a, f] = VolumeGrid.Of(_case.Products[p].Regions, _f2[f], _case.TauW, _case.TauE, _case.SideFactor[a], _case.MostMl);
        return grids;
    }

    private string KeyOfFaces() => string.Create(CultureInfo.InvariantCulture,
        $"{_case.Nu:R} {_case.S2:R} {_case.TauW:R} {_case.TauE:R} {_case.MostMl:R}|{Numbers(_case.SideFactor)}|{string.Join('|', _case.Products.Select(p => string.Join(' ', p.Regions.Select(r => $"{Numbers([r.LogMedian, r.Variance])} {r.Sides}"))))}");

    // Units at a given shift depend on the faces and on how a product is billed, not on its price.
    private string KeyOfUnits() => string.Create(CultureInfo.InvariantCulture,
        $"{KeyOfFaces()}|units {_case.MostUnits}|{string.Join('|', _case.Products.Select(p => Numbers([p.Price.UnitMl, p.Price.ToleranceMl])))}");

    private static string Numbers(IEnumerable<double> values) => string.Join(' ', values.Select(v => v.ToString("R", CultureInfo.InvariantCulture)));

    private bool HasFacesOf(PriceCase other) =>
        (_case.Nu, _case.S2, _case.TauW, _case.TauE, _case.MostMl) == (other.Nu, other.S2, other.TauW, other.TauE, other.MostMl) && _case.SideFactor.SequenceEqual(other.SideFactor)
        && _case.Products.Count == other.Products.Count && _case.Products.Zip(other.Products).All(p => p.First.Regions.SequenceEqual(p.Second.Regions));

    private int Rows => _places.Length == 0 ? 1 : _places[0] * (_case.MostUnits + 1);

    private int UnitsAt(int row, int product) => row / _places[product] % (_case.MostUnits + 1);

    /// <summary>Distribution of the total.</summary>
    public PriceDistribution Total() => TotalGiven([.. Cells()]);

    /// <summary>Distribution of the units of one product at the first visit, index = units.</summary>
    public double[] FirstVisitUnits(int product)
    {
        var units = new double[_case.MostUnits + 1];
        var joint = Joint(Cells());
        for (var i = 0; i < joint.Length; i++) units[UnitsAt(i, product)] += joint[i];
        return units;
    }

    /// <summary>What the examination may find, each with its probability.</summary>
    internal IEnumerable<(int G, int B, int A, double Weight)> Cells()
    {
        for (var g = 0; g < _case.LaxityShift.Length; g++)
            for (var b = 0; b < _case.BoneShift.Length; b++)
                for (var a = 0; a < _case.SideDifference.Length; a++)
                    if (_case.LaxityBone[g][b] * _case.SideDifference[a] is > 0 and var weight) yield return (g, b, a, weight);
    }

    private double[,,][] UnitsByCell => _joint ??= _bases is null ? FillJoint() : _bases.Of($"{KeyOfShifts()}|{KeyOfUnits()}", FillJoint);

    private UnitTable? Table()
    {
        if (_tableAsked) return _table;
        _tableAsked = true;
        if (_base.Length == 0 || UnitTable.SizeFor(_case, _f2, _base.Cast<VolumeGrid>().Min(g => g.RelativeSd), _base.Cast<VolumeGrid>().Max(g => g.Tail)) is not var (step, half)) return null;
        return _table = _bases is null || 2 * half > UnitTable.MostKept ? Made() : _bases.Of(string.Create(CultureInfo.InvariantCulture, $"{KeyOfUnits()}|table {step:R} {half}"), Made);

        UnitTable Made()
        {
            var rows = new double[_case.Products.Count, _case.SideDifference.Length, _f2.Length][][];
            for (var p = 0; p < rows.GetLength(0); p++)
                for (var a = 0; a < rows.GetLength(1); a++)
                    for (var f = 0; f < rows.GetLength(2); f++)
                        rows[p, a, f] = [.. Enumerable.Range(-half, 2 * half + 1).Select(i => Units(p, a, f, i * step))];
            return new(step, half, rows);
        }
    }

    private double[,,][] FillJoint()
    {
        var joint = new double[_case.LaxityShift.Length, _case.BoneShift.Length, _case.SideDifference.Length][];
        var table = Table();
        for (var g = 0; g < joint.GetLength(0); g++)
            for (var b = 0; b < joint.GetLength(1); b++)
            {
                var exam = _case.LaxityShift[g] + _case.BoneShift[b];
                for (var a = 0; a < joint.GetLength(2); a++) joint[g, b, a] = new double[Rows];
                for (var f = 0; f < _f2.Length; f++)
                    if (table is null) AddNodes(joint, g, b, f, exam);
                    else AddPlaces(joint, g, b, f, exam, table);
            }

        return joint;
    }

    // The shift reaches every place of the table with the weight of its trapezoid.
    private void AddPlaces(double[,,][] joint, int g, int b, int f, double exam, UnitTable table)
    {
        var weights = new double[2 * table.Half + 1];
        foreach (var shift in _case.Shifts)
            if (shift.Weight > 0) table.Put(weights, shift.Delta + exam, Math.Sqrt(_f2[f] * (shift.SharedVariance + _case.TauU * _case.TauU)), shift.Weight / _f2.Length);
        for (var a = 0; a < joint.GetLength(2); a++)
        {
            var into = joint[g, b, a];
            for (var i = 0; i < weights.Length; i++)
            {
                if (!(weights[i] > 0)) continue;
                if (_places.Length == 1) WeightedRow.Add(into.AsSpan(0, table.Rows[0, a, f][i].Length), table.Rows[0, a, f][i], weights[i]);
                else Spread(into, [.. Enumerable.Range(0, _places.Length).Select(p => table.Rows[p, a, f][i])], 0, 0, weights[i]);
            }
        }
    }

    // Without a table: a spread of next to nothing, or of very many steps.
    private void AddNodes(double[,,][] joint, int g, int b, int f, double exam)
    {
        for (var a = 0; a < joint.GetLength(2); a++)
            foreach (var (shift, weight) in CommonFactor(a, f)) Add(joint[g, b, a], a, f, shift + exam, weight / _f2.Length);
    }

    private void Add(double[] joint, int a, int f, double shift, double weight)
    {
        // Given all that is common, what one product needs says nothing about another.
        var units = new double[_places.Length][];
        for (var p = 0; p < units.Length; p++) units[p] = Units(p, a, f, shift);
        Spread(joint, units, 0, 0, weight);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Spread(double[] joint, double[][] units, int product, int row, double weight)
    {
        if (product == units.Length)
        {
            joint[row] += weight;
            return;
        }

        var chances = units[product];
        var last = product == units.Length - 1;
        for (var n = 0; n < chances.Length; n++)
        {
            var at = row + n * _places[product];
            if (last) joint[at] += weight * chances[n];
            else if (weight * chances[n] is > 0 and var w) Spread(joint, units, product + 1, at, w);
        }
    }

    /// <summary>Units of one product for a given common shift; trimmed after the last possible count, at least 1 unit.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double[] Units(int product, int a, int f, double shift)
    {
        var units = new double[_case.MostUnits + 1];
        var price = _case.Products[product].Price;
        var scale = Math.Exp(-shift);
        double before = 0;
        for (var k = 1; k <= _case.MostUnits; k++)
        {
            var now = k == _case.MostUnits ? 1 : _base[product, a, f].Below((k * price.UnitMl + price.ToleranceMl) * scale);
            units[k] = now - before;
            before = now;
            if (now >= 1) return units[..(k + 1)];
        }

        return units;
    }

    /// <summary>Trapezoid over the answers' shifts, the clinic's level and the whole face together.</summary>
    private List<(double Shift, double Weight)> CommonFactor(int a, int f)
    {
        var sds = _case.Shifts.Select(s => Math.Sqrt(_f2[f] * (s.SharedVariance + _case.TauU * _case.TauU))).ToArray();
        if (sds.Min() < 1e-9) return [.. _case.Shifts.SelectMany((s, i) => Own(s, sds[i]))];
        var step = 0.1 * sds.Min();
        // A base much narrower than the step would turn the trapezoid into a staircase.
        var narrow = Enumerable.Range(0, _case.Products.Count).Select(p => _base[p, a, f].RelativeSd).DefaultIfEmpty(1).Min();
        for (var i = 0; i < 5 && step > 1.5 * narrow; i++) step /= 2;
        var start = _case.Shifts.Select((s, i) => s.Delta - 6 * sds[i]).Min();
        var end = _case.Shifts.Select((s, i) => s.Delta + 6 * sds[i]).Max();
        var nodes = new List<(double Shift, double Weight)>();
        for (var n = 0; start + n * step <= end + step / 2; n++)
        {
            var at = start + n * step;
            double weight = 0;
            for (var i = 0; i < sds.Length; i++) weight += _case.Shifts[i].Weight * NormalCurve.Density((at - _case.Shifts[i].Delta) / sds[i]) / sds[i];
            nodes.Add((at, weight));
        }

        var sum = nodes.Sum(n => n.Weight);
        return [.. nodes.Select(n => (n.Shift, n.Weight / sum))];
    }

    private static IEnumerable<(double Shift, double Weight)> Own(CommonShift shift, double sd)
    {
        if (sd < 1e-9) return [(shift.Delta, shift.Weight)];
        var z = Enumerable.Range(-60, 121).Select(i => i * 0.1).ToArray();
        var sum = z.Sum(NormalCurve.Density);
        return z.Select(v => (shift.Delta + sd * v, shift.Weight * NormalCurve.Density(v) / sum));
    }
}
