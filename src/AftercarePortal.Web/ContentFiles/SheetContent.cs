using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>What stands on the sheet a patient takes home, by language, with emergency numbers by country.</summary>
/// <param name="Version">The file of the words and signs.</param>
/// <param name="Words">Language → key → words, with placeholders.</param>
/// <param name="Names">Language → written name of a region, side or product class → word of the sheet.</param>
/// <param name="Signs">Warning signs in order.</param>
/// <param name="Notes">What else to know of a product.</param>
/// <param name="Countries">Emergency numbers.</param>
internal sealed record SheetContent(
    ContentVersion Version, IReadOnlyDictionary<string, IReadOnlyDictionary<string, string>> Words, IReadOnlyDictionary<string, IReadOnlyDictionary<string, string>> Names,
    IReadOnlyList<SheetContent.Sign> Signs, IReadOnlyList<SheetContent.Sign> Notes, IReadOnlyList<SheetContent.Country> Countries)
{
    /// <summary>One sign or note.</summary>
    /// <param name="Emergency">Whether the emergency number is rung, not the clinic.</param>
    /// <param name="Products">Only when one of them was placed; empty: always.</param>
    /// <param name="Says">By language.</param>
    internal sealed record Sign(bool Emergency, IReadOnlyList<ProductClass> Products, IReadOnlyDictionary<string, string> Says)
    {
        public bool Concerns(IEnumerable<ProductClass> placed) => Products.Count == 0 || Products.Intersect(placed).Any();
    }

    /// <summary>One country's emergency number.</summary>
    /// <param name="Code">ISO 3166-1, two letters.</param>
    internal sealed record Country(string Code, IReadOnlyDictionary<string, string> Name, string Number);
}
