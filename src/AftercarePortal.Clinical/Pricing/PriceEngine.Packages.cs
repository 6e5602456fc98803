namespace AftercarePortal.Clinical.Pricing;

/// <content>How often packages are charged.</content>
public sealed partial class PriceEngine
{
    /// <summary>Probability that each package of a product is charged at the first visit or the second, by its place in the case.</summary>
    public double[] PackageChances(int product)
    {
        var (units, visit) = (FirstVisitUnits(product), _case.SecondVisit?.Probability ?? 0);
        var charged = Charged(_costs[product], _case.MostUnits);
        return [.. Enumerable.Range(0, _case.Products[product].Packages.Count).Select(k => units.Select((p, n) => p <= 0 ? 0 : p * (charged[n].Contains(k) ? 1 : visit <= 0 ? 0 : visit * Again(n, k))).Sum())];

        double Again(int first, int k) => SecondUnits(product, first).Select((p, n) => p > 0 && charged[n].Contains(k) ? p : 0).Sum();
    }

    /// <summary>The same of packages of sessions.</summary>
    public double[] SessionPackageChances()
    {
        var charged = Charged(_sessionCosts, _case.Sessions.Max(row => row.Length) - 1);
        return [.. Enumerable.Range(0, _case.SessionPackages.Count).Select(k => Cells().Sum(c => c.Weight * _case.Sessions[c.G].Select((p, n) => charged[n].Contains(k) ? p : 0).Sum()))];
    }

    private static IReadOnlyList<int>[] Charged(UnitCosts costs, int most) => [.. Enumerable.Range(0, most + 1).Select(costs.PackagesIn)];
}
