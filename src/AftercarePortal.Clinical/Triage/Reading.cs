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
/// <param name="Products">Classes placed at that treatment; empty when unknown (counts as filler).</param>
/// <param name="MediaCount">Pictures that came with the message, 0 or more.</param>
public sealed record ReadingContext(int? Day, IReadOnlyList<ProductClass> Products, int MediaCount)
{
    /// <summary>The first days after a filler, PLLA or PRP, or not known to be later.</summary>
    internal bool IsEarly => (Day ?? 0) <= 3 && MayBeFiller;

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
}
