namespace AftercarePortal.Clinical.Pricing;

/// <summary>So many billed units at one price.</summary>
/// <param name="Units">1 or more.</param>
/// <param name="Price">Minor units, before tax.</param>
public sealed record UnitPackage(int Units, long Price)
{
    /// <summary>What is wrong with one of these, each with the field's name.</summary>
    internal static IEnumerable<string> Faults(IEnumerable<UnitPackage> packages, string of)
    {
        foreach (var package in packages)
        {
            if (package.Units is < 1 or > 1000) yield return $"Units of a package of {of} must be 1 to 1000";
            if (package.Price is < 0 or > PriceCase.MostMoney) yield return $"Price of a package of {of} must not be below 0";
        }
    }
}
