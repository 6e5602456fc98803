using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Candidacy;

/// <summary>One rule of what to settle before treatment.</summary>
/// <param name="Id">Stable id.</param>
/// <param name="Says">Words for the patient.</param>
/// <param name="SaysIfUnknown">Words when an answer is missing; null means <paramref name="Says"/>.</param>
/// <param name="Reason">Words for the clinician.</param>
/// <param name="Applies">Product classes it is about; empty means any.</param>
/// <param name="When">When it speaks.</param>
/// <param name="Kind">What it asks for.</param>
/// <param name="KindIfUnknown">The same when an answer is missing; never weaker than <paramref name="Kind"/>.</param>
/// <param name="Earliest">How the earliest date is found, or null.</param>
/// <param name="Stops">Whether the intake kindly ends with it.</param>
/// <param name="ClinicDecides">Whether practice differs.</param>
/// <param name="Citations">Sources, at least one.</param>
/// <param name="Covers">Rules that say a part of the same, never more strongly: with this one they are not said to the patient again.</param>
/// <param name="ForClinician">True when only the clinician reads it.</param>
public sealed record CandidacyRule(
    string Id, string Says, string? SaysIfUnknown, string Reason, IReadOnlyList<ProductClass> Applies, Condition When, FindingKind Kind,
    FindingKind KindIfUnknown, Earliest? Earliest, bool Stops, bool ClinicDecides, IReadOnlyList<Citation> Citations,
    IReadOnlyList<string> Covers, bool ForClinician)
{
    /// <summary>What a clinic may choose instead; empty when content offers nothing.</summary>
    public IReadOnlyList<RuleChoice> Choices { get; init; } = [];

    /// <summary>What the clinic chose (<see cref="RuleChoice.Means"/>), when this is a choice and not the rule as it stands.</summary>
    public string? Chosen { get; init; }

    /// <summary>The rule's finding, or null when it certainly does not hold.</summary>
    /// <param name="facts">The intake.</param>
    /// <param name="uses">Which products may be used in it.</param>
    internal Finding? FindingFor(IntakeFacts facts, ProductUses uses)
    {
        var own = When.Holds(facts);
        if (own == Truth.No) return null;
        var use = uses.OfAny(Applies);
        if (use == Truth.No) return null;
        var truth = own < use ? own : use;
        // Only what is behind the doubt or the flag: a known wish is no cause.
        var behind = uses.Behind;
        behind.Clear();
        When.AddCauses(facts, behind);
        if (own != truth) uses.AddCauses(Applies, behind);
        var causes = new Cause[behind.Count];
        for (var i = 0; i < causes.Length; i++) causes[i] = facts.CauseOf(behind[i]);
        var doubt = truth == Truth.Unknown;
        return new(
            Id, doubt ? KindIfUnknown : Kind, doubt ? SaysIfUnknown ?? Says : Says, Reason, doubt ? null : Earliest?.On(facts),
            causes, Citations, ClinicDecides, doubt, Stops, ForClinician) { Chosen = Chosen };
    }
}
