namespace AftercarePortal.Clinical.Pricing;

/// <summary>Which packages a price list may hold. No package may make more product cheaper than less.</summary>
public static class PackagePolicy
{
    /// <summary>Fewest units of a package.</summary>
    public const int Fewest = 2;

    /// <summary>Most units of a package.</summary>
    public const int Most = 100;

    /// <summary>Every fault, by the place of the package in the list and the field it lies in.</summary>
    /// <remarks>Of more than 16 regions named for one product only the first 16 are combined.</remarks>
    public static IReadOnlyList<(int Package, string Field, string Reason)> Faults(PriceList prices)
    {
        var faults = new List<(int, string, string)>();
        for (var i = 0; i < prices.Packages.Count; i++)
        {
            var package = prices.Packages[i];
            if (prices.Packages.Take(i).Any(p => p.Id == package.Id)) faults.Add((i, "id", "Another package has this id."));
            if (prices.UnitOf(package.Of) is null) faults.Add((i, "of", "The list has no price for one unit of this: name a filler of the list, or session."));
            else if (package.Of == PricePackage.Sessions && package.Regions.Count > 0) faults.Add((i, "regions", "A package of sessions has no regions."));
            else if (package.Units is < Fewest or > Most) faults.Add((i, "units", $"A package holds {Fewest} to {Most} units."));
            else if (PriceFault(prices, package) is { } reason) faults.Add((i, "price", reason));
        }

        return faults;
    }

    private static string? PriceFault(PriceList prices, PricePackage package)
    {
        var (first, next) = prices.UnitOf(package.Of)!.Value;
        var cheaper = false;
        foreach (var beside in Beside(prices, package))
        {
            UnitPackage[] without = [.. beside.Where(p => p != package).Select(p => p.Numbers)], with = [.. without, package.Numbers];
            // As what a visit begins with, and as what follows: from there on each unit costs the same.
            foreach (var start in new[] { first, next })
            {
                UnitCosts costs = new(start, next, with, package.Units), others = new(start, next, without, package.Units);
                if (costs[package.Units] <= costs[package.Units - 1]) return $"This costs no more than {package.Units - 1} without it. The last of its units would be free, and a price must never speak for more than is needed.";
                cheaper |= package.Price < others[package.Units];
            }
        }

        return cheaper ? null : $"This would never be charged: {package.Units} cost no more without it.";
    }

    // Every set of packages that can count together with this one: it depends on where the product goes.
    private static IEnumerable<IReadOnlyList<PricePackage>> Beside(PriceList prices, PricePackage package)
    {
        string[] named = [.. prices.Packages.Where(p => p.Of == package.Of).SelectMany(p => p.Regions).Distinct().Take(16)];
        for (var set = 0; set < 1 << named.Length; set++)
        {
            // None of those named: somewhere else.
            IReadOnlyList<string> at = set == 0 ? [""] : [.. named.Where((_, i) => (set >> i & 1) == 1)];
            var counting = prices.PackagesFor(package.Of, at);
            if (counting.Contains(package)) yield return counting;
        }
    }
}
