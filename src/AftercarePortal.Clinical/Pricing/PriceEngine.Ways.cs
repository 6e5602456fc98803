namespace AftercarePortal.Clinical.Pricing;

/// <content>How a total comes about.</content>
public sealed partial class PriceEngine
{
    /// <summary>The most likely combination of lines that comes to exactly this total: money by line without the fee, tax included.</summary>
    /// <returns>Null when no combination does.</returns>
    internal (long First, long Second, long Toxin, long Sessions, double Probability)? MostLikelyWay(long total)
    {
        var ways = new Dictionary<(long First, long Second, long Toxin, long Sessions), double>();
        var visit = _case.SecondVisit?.Probability ?? 0;
        foreach (var group in Cells().GroupBy(c => c.G))
        {
            var joint = Joint(group);
            foreach (var (toxin, p) in ToxinMoney(group.Key))
                foreach (var (sessions, q) in SessionMoney(group.Key))
                    for (var row = 0; row < joint.Length; row++)
                    {
                        var weight = joint[row] * p * q;
                        if (!(weight > 0)) continue;
                        var first = FirstAll(row);
                        var rest = total - first - toxin - sessions - _case.Taxed(_case.Fee);
                        if (rest < 0) continue;
                        if (rest == 0) Note(first, 0, toxin, sessions, weight * (1 - visit));
                        foreach (var (again, r) in visit > 0 ? AgainAll(row) : [])
                            if (again == rest) Note(first, again, toxin, sessions, weight * visit * r);
                    }
        }

        if (ways.Count == 0) return null;
        var best = ways.OrderByDescending(w => w.Value).ThenBy(w => w.Key).First();
        return (best.Key.First, best.Key.Second, best.Key.Toxin, best.Key.Sessions, best.Value);

        void Note(long first, long second, long toxin, long sessions, double weight)
        {
            if (weight > 0) ways[(first, second, toxin, sessions)] = ways.GetValueOrDefault((first, second, toxin, sessions)) + weight;
        }
    }
}
