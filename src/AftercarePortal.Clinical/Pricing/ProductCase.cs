namespace AftercarePortal.Clinical.Pricing;

/// <summary>One filler of a case; its regions share its syringes.</summary>
public sealed record ProductCase(string Id, ProductPrice Price, IReadOnlyList<RegionCase> Regions)
{
    /// <summary>Packages that count for these regions.</summary>
    public IReadOnlyList<UnitPackage> Packages { get; init; } = [];

    /// <summary>What is wrong with it, each with the field's name.</summary>
    public IEnumerable<string> Faults()
    {
        if (!(Price.UnitMl is > 0 and <= 50)) yield return $"{nameof(ProductPrice.UnitMl)} of {Id} must be above 0";
        if (!(Price.ToleranceMl is >= 0 and <= 5)) yield return $"{nameof(ProductPrice.ToleranceMl)} of {Id} must be 0 to 5";
        if (Price.First is < 0 or > PriceCase.MostMoney) yield return $"{nameof(ProductPrice.First)} of {Id} must not be below 0";
        if (Price.Next is < 0 or > PriceCase.MostMoney) yield return $"{nameof(ProductPrice.Next)} of {Id} must not be below 0";
        if (Regions.Count is 0 or > 24) yield return $"Regions of {Id} must be 1 to 24";
        foreach (var fault in UnitPackage.Faults(Packages, Id)) yield return fault;
        foreach (var region in Regions)
        {
            if (!(Math.Abs(region.LogMedian) <= 5)) yield return $"{nameof(RegionCase.LogMedian)} of {Id} must be -5 to 5";
            if (region.Sides is not (1 or 2)) yield return $"{nameof(RegionCase.Sides)} of {Id} must be 1 or 2";
            if (!(region.Variance is >= 0 and <= 25)) yield return $"{nameof(RegionCase.Variance)} of {Id} must be 0 to 25";
        }
    }

    /// <summary>Price of each count of units at one visit, before tax.</summary>
    /// <param name="most">The highest count.</param>
    public UnitCosts Costs(int most) => new(Price.First, Price.Next, Packages, most);

    /// <summary>All that a price depends on, as a word.</summary>
    internal string PriceKey => string.Join(' ', [Price.ToString(), .. Packages.Select(p => p.ToString())]);
}
