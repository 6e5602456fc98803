using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>One thing to think of before a placement, with where it stands. It reminds; it neither clears nor forbids.</summary>
/// <param name="Says">For a clinician, in plain words.</param>
/// <param name="Source">Where it stands in the clinical evidence pack, or that it is from memory.</param>
public sealed record SafetyPrompt(string Says, string Source)
{
    /// <summary>mL of CaHA filler on one side of the jaw at a first session that the trial's protocol did not go beyond.</summary>
    public const decimal MostCaHAPerSide = 3m;

    private static readonly SafetyPrompt Kit = new(
        "Before you start: is hyaluronidase there and in date, adrenaline there and in date, the emergency plan at hand, and the number of the nearest eye and stroke unit?",
        "S21 and S25 class, seen, grade C; the rest from memory, unchecked");

    private static readonly SafetyPrompt Artery = new(
        "The facial artery crosses the lower border of the jaw at the front edge of the masseter. Feel its pulse; keep out of its course.",
        "anatomy, from memory, unchecked");

    private static readonly SafetyPrompt NotDissolved = new(
        "Hyaluronidase does not dissolve CaHA filler, PLLA or PRP: there is no reversal agent.",
        "S23 class, seen, grade D; PLLA and PRP from memory, unchecked");

    private static readonly SafetyPrompt Units = new(
        "Units of one toxin preparation are not units of another. For the platysma a phase 3 trial used 26, 31 or 36 units in all of its own preparation.",
        "S44, seen, grade A");

    /// <summary>The prompts for these placements, general ones first; none without a placement.</summary>
    public static IReadOnlyList<SafetyPrompt> For(IReadOnlyList<Placement> placements)
    {
        if (placements.Count == 0) return [];
        var prompts = new List<SafetyPrompt> { Kit };
        if (placements.Any(p => p.Region is Region.JawAngle or Region.JawBody or Region.PreJowl)) prompts.Add(Artery);
        if (placements.Any(p => p.ProductClass is ProductClass.CaHAFiller or ProductClass.Plla or ProductClass.Prp)) prompts.Add(NotDissolved);
        if (placements.Any(p => p.ProductClass is ProductClass.BotulinumToxinTypeA)) prompts.Add(Units);
        foreach (var side in new[] { Side.Left, Side.Right })
        {
            var total = placements.Where(p => p.Side == side && p.ProductClass is ProductClass.CaHAFiller && IsJawline(p.Region)).Sum(p => p.Volume?.Ml ?? 0);
            if (total > MostCaHAPerSide)
                prompts.Add(new(FormattableString.Invariant($"CaHA filler on the patient's {(side is Side.Left ? "left" : "right")} jawline adds up to {total:0.00} mL: more than the {MostCaHAPerSide:0} mL a side the trial's protocol allowed at a first session."), "S01, seen; protocol cap"));
        }

        return prompts;
    }

    private static bool IsJawline(Region region) => region is Region.JawAngle or Region.JawBody or Region.PreJowl;
}
