using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Triage;

/// <summary>One thing a patient may be telling, and the word relations that say it.</summary>
/// <param name="Id">Stable id, for example <c>vision-change</c>.</param>
/// <param name="Class">Vascular class (colour, pain, cold, blister, numb) or empty.</param>
/// <param name="MayDrop">Whether an explicit denial drops it. Emergency concepts stay at same day whatever this says.</param>
/// <param name="Tiers">First fitting row decides, per product; the highest over products counts. None fitting: same day.</param>
/// <param name="When">Any one of these is enough.</param>
/// <param name="SourceId">Bibliography entry behind the concept.</param>
/// <param name="Supports">Says nothing alone: it only counts as the second sign beside one of another class.</param>
/// <param name="RightlySpelt">Its words are so ordinary that only rightly spelt ones count, so that no slip makes a sign of a plain text.</param>
public sealed record TriageConcept(
    string Id, string Class, bool MayDrop, IReadOnlyList<TriageTierRow> Tiers, IReadOnlyList<TriageFrame> When, string SourceId,
    bool Supports = false, bool RightlySpelt = false)
{
    /// <summary>An expected course, not a warning sign.</summary>
    internal bool IsExpected => Id.StartsWith("expected-", StringComparison.Ordinal);

    /// <summary>What it asks for after these products, each on its own day: the most any of them asks for.</summary>
    internal Tier TierIn(ReadingContext context)
    {
        if (context.Products.Count == 0) return TierOn(Math.Max(0, context.Day ?? 0), true);
        var tier = Tier.Routine;
        for (var i = 0; i < context.Products.Count; i++)
        {
            var here = TierOn(context.DayOf(i), context.Products[i] != ProductClass.BotulinumToxinTypeA);
            tier = here > tier ? here : tier;
        }
        return tier;
    }

    /// <summary>The only ways down: an explicit denial, something feared, long past, or an expected course that is over.</summary>
    internal Tier Lowered(Tier tier, string status, ReadingContext context)
    {
        var floor = status switch
        {
            "negated" => MayDrop && tier < Tier.Emergency ? Tier.Routine : Tier.SameDay,
            "hypothetical" => context.Careful,
            "historical" => Tier.SameDay,
            "resolved" when IsExpected => Tier.Routine,
            _ => tier,
        };
        return tier < floor ? tier : floor;
    }

    private Tier TierOn(int day, bool filler)
    {
        for (var i = 0; i < Tiers.Count; i++)
            if (day >= Tiers[i].FromDay && day <= Tiers[i].ToDay && (Tiers[i].Filler is null || Tiers[i].Filler == filler)) return Tiers[i].Tier;
        return Tier.SameDay;
    }
}
