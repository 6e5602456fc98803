using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Replies;

/// <summary>A common question's answer.</summary>
/// <param name="Id">Name of the topic.</param>
/// <param name="TextId">The text that answers.</param>
/// <param name="Products">The classes it is written for; empty: any.</param>
/// <param name="Words">Words of the topic by language.</param>
public sealed record ApprovedAnswer(string Id, string TextId, IReadOnlyList<ProductClass> Products, IReadOnlyDictionary<string, WordSet> Words)
{
    internal bool IsFor(IReadOnlyList<ProductClass> placed) => Products.Count == 0 || (placed.Count > 0 && placed.All(Products.Contains));
}
