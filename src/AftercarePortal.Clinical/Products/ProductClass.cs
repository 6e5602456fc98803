namespace AftercarePortal.Clinical.Products;

/// <summary>What a product is. Classes only: a clinic's own product names are its data.</summary>
public enum ProductClass { CaHAFiller, HAFiller, Plla, BotulinumToxinTypeA, Prp }

/// <summary>The written names of product classes.</summary>
public static class ProductClassNames
{
    private static readonly (ProductClass Class, string Name)[] Names =
    [
        (ProductClass.CaHAFiller, "CaHA filler"),
        (ProductClass.HAFiller, "HA filler"),
        (ProductClass.Plla, "PLLA"),
        (ProductClass.BotulinumToxinTypeA, "botulinum toxin type A"),
        (ProductClass.Prp, "PRP"),
    ];

    /// <summary>The name as people write it, for example <c>CaHA filler</c>.</summary>
    public static string Name(this ProductClass product) => Names.Single(n => n.Class == product).Name;

    /// <summary>The class with this written name, or null when there is none.</summary>
    public static ProductClass? Parse(string? name) =>
        Names.Where(n => n.Name == name).Select(n => (ProductClass?)n.Class).FirstOrDefault();
}
