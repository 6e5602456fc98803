namespace AftercarePortal.Clinical.Pricing;

/// <summary>What each count of units costs together: one by one, or by packages where that is cheaper. The cheapest way, the same on every machine.</summary>
/// <remarks>A package covers what is needed and nothing more: units of it that are not needed are neither given nor kept. So a higher count never costs less.</remarks>
public sealed class UnitCosts
{
    private const int OneByOne = -1;
    private readonly IReadOnlyList<UnitPackage> _packages;
    private readonly long[] _cost;
    private readonly int[] _begins;          // by count: the package charged first, or one unit by itself
    private readonly int[] _goesOn;          // the same once something was charged

    /// <summary>Works them out.</summary>
    /// <param name="first">Price of the first unit, minor units, before tax.</param>
    /// <param name="next">Price of each further unit.</param>
    /// <param name="packages">Each may be charged any number of times; a package holds the first unit. Of ways that cost the same, single units come first, then packages as listed.</param>
    /// <param name="most">The highest count, 0 or more.</param>
    public UnitCosts(long first, long next, IReadOnlyList<UnitPackage> packages, int most)
    {
        _packages = packages;
        (_cost, _begins, _goesOn) = (new long[most + 1], new int[most + 1], new int[most + 1]);
        var further = new long[most + 1];
        for (var n = 1; n <= most; n++)
        {
            (further[n], _goesOn[n]) = Cheapest(next + further[n - 1]);
            (_cost[n], _begins[n]) = Cheapest(first + further[n - 1]);

            (long, int) Cheapest(long single)
            {
                var best = (Cost: single, Way: OneByOne);
                for (var k = 0; k < packages.Count; k++)
                    if (packages[k].Price + further[Math.Max(0, n - packages[k].Units)] is var cost && cost < best.Cost) best = (cost, k);
                return best;
            }
        }
    }

    /// <summary>Cost of so many units, minor units, before tax; 0 of none.</summary>
    /// <exception cref="IndexOutOfRangeException">Below 0 or above the highest count.</exception>
    public long this[int units] => _cost[units];

    /// <summary>The packages charged for so many units, by their place in the list; one charged twice stands twice.</summary>
    /// <param name="units">0 or more, at most the highest count.</param>
    /// <exception cref="IndexOutOfRangeException">Above the highest count.</exception>
    public IReadOnlyList<int> PackagesIn(int units)
    {
        var charged = new List<int>();
        for (var ways = _begins; units > 0; ways = _goesOn)
        {
            if (ways[units] is >= 0 and var k) charged.Add(k);
            units -= ways[units] >= 0 ? _packages[ways[units]].Units : 1;
        }

        return charged;
    }
}
