using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Triage;

/// <summary>What the core made of one inbound message.</summary>
/// <param name="Version">The lexicon that read it.</param>
/// <param name="Tier">The join (maximum) over clues and floors.</param>
/// <param name="Clues">Heaviest first; may be empty.</param>
/// <param name="Floors">Plain names of the floors that applied, for example <c>photo without words</c>.</param>
/// <param name="Desk"><c>admin</c> for the front desk, <c>unrelated</c> when nothing concerns the clinic, else null. It never lowers.</param>
public sealed record Reading(ContentVersion Version, Tier Tier, IReadOnlyList<Clue> Clues, IReadOnlyList<string> Floors, string? Desk = null);

/// <summary>One concept found in a message, with the words it was found in.</summary>
/// <param name="ConceptId">For example <c>vision-change</c>.</param>
/// <param name="Tier">What this clue alone asks for.</param>
/// <param name="Start">First UTF-16 index in the raw text, 0-based.</param>
/// <param name="End">One past the last index.</param>
/// <param name="Status">present, negated, resolved, historical, hypothetical, hedged, asked or other-person.</param>
/// <param name="SourceId">Bibliography entry behind the concept.</param>
public sealed record Clue(string ConceptId, Tier Tier, int Start, int End, string Status, string SourceId);

/// <summary>What is known beside the words.</summary>
/// <param name="Day">Days since the latest treatment; null when unknown (counts as day 0).</param>
/// <param name="Products">Classes placed; empty when unknown (counts as filler). A class placed on two days stands twice.</param>
/// <param name="MediaCount">Pictures that came with the message, 0 or more.</param>
public sealed record ReadingContext(int? Day, IReadOnlyList<ProductClass> Products, int MediaCount)
{
    /// <summary>Days since each of <see cref="Products"/> was placed, in their order; null: all on <see cref="Day"/>. A filler of last week is not forgotten for the toxin of today.</summary>
    public IReadOnlyList<int>? Days { get; init; }

    /// <summary>After several treatments: what was placed and how many days ago.</summary>
    /// <param name="given">Class and days since, 0 or more; empty when no record is known.</param>
    /// <param name="mediaCount">Pictures that came with the message, 0 or more.</param>
    public static ReadingContext After(IReadOnlyCollection<(ProductClass Class, int Day)> given, int mediaCount) => given.Count == 0
        ? new(null, [], mediaCount)
        : new(given.Min(g => g.Day), [.. given.Select(g => g.Class)], mediaCount) { Days = [.. given.Select(g => g.Day)] };

    /// <summary>The first days after a filler, PLLA or PRP, or not known to be later.</summary>
    internal bool IsEarly => MayBeFiller && FillerDay <= 3;

    /// <summary>What a text that cannot be understood asks for.</summary>
    internal Tier Careful => IsEarly ? Tier.Urgent : Tier.SameDay;

    /// <summary>False only after toxin alone.</summary>
    internal bool MayBeFiller
    {
        get
        {
            for (var i = 0; i < Products.Count; i++)
                if (Products[i] != ProductClass.BotulinumToxinTypeA) return true;
            return Products.Count == 0;
        }
    }

    /// <summary>Days since the latest filler, PLLA or PRP, 0 or more; the day itself where the products are not known.</summary>
    internal int FillerDay
    {
        get
        {
            var day = int.MaxValue;
            for (var i = 0; i < Products.Count; i++)
                if (Products[i] != ProductClass.BotulinumToxinTypeA) day = Math.Min(day, DayOf(i));
            return day == int.MaxValue ? Math.Max(0, Day ?? 0) : day;
        }
    }

    /// <summary>Days since the product at this place of the list, 0 or more.</summary>
    internal int DayOf(int product) => Math.Max(0, Days?[product] ?? Day ?? 0);
}
