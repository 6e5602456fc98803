using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>Which product classes may be used in one intake; each is worked out once.</summary>
/// <param name="facts">The intake.</param>
/// <param name="classes">When each product class may be used; a class not named may always be used.</param>
/// <param name="planned">Classes that are to be used whatever was answered; null: none.</param>
internal sealed class ProductUses(IntakeFacts facts, IReadOnlyDictionary<ProductClass, Condition> classes, IReadOnlySet<ProductClass>? planned = null)
{
    private readonly Dictionary<ProductClass, Truth> known = [];

    /// <summary>The causes of one finding while they are gathered; used again for the next.</summary>
    public List<string> Behind { get; } = [];

    /// <summary>Whether one of these may be used; none named means any.</summary>
    public Truth OfAny(IReadOnlyList<ProductClass> applies)
    {
        var strongest = applies.Count == 0 ? Truth.Yes : Truth.No;
        for (var i = 0; i < applies.Count && strongest != Truth.Yes; i++) strongest = Of(applies[i]) is var one && one > strongest ? one : strongest;
        return strongest;
    }

    /// <summary>Adds the questions that let one of these be used or leave it open.</summary>
    public void AddCauses(IReadOnlyList<ProductClass> applies, List<string> causes)
    {
        for (var i = 0; i < applies.Count; i++) classes[applies[i]].AddCauses(facts, causes);
    }

    private Truth Of(ProductClass one) =>
        known.TryGetValue(one, out var truth) ? truth : known[one] = planned?.Contains(one) is true ? Truth.Yes : classes.TryGetValue(one, out var when) ? when.Holds(facts) : Truth.Yes;
}
