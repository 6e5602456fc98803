using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using NodaTime;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>What was done to one patient on one day. Signed once; then only addenda.</summary>
public sealed record TreatmentRecord
{
    private TreatmentRecord(LocalDate treatedOn, Instant signed, IReadOnlyList<Placement> placements) =>
        (TreatedOn, Signed, Placements) = (treatedOn, signed, placements);

    /// <summary>The clinic's local date of treatment: day 0.</summary>
    public LocalDate TreatedOn { get; }

    /// <summary>When it was signed.</summary>
    public Instant Signed { get; }

    /// <summary>Every deposit, as ordered in the record; never empty.</summary>
    public IReadOnlyList<Placement> Placements { get; }

    /// <summary>Signs a record, or says everything that keeps it from being signed.</summary>
    /// <param name="treatedOn">The clinic's local date of treatment.</param>
    /// <param name="signed">Now.</param>
    /// <param name="placements">Every deposit; copied.</param>
    public static Outcome Sign(LocalDate treatedOn, Instant signed, IReadOnlyList<Placement> placements)
    {
        var refusals = new List<Refusal>();
        if (placements.Count == 0) refusals.Add(new(RefusalReason.NoPlacement, null));
        // The earliest calendar day anywhere is one ahead of UTC; the portal, which knows the zone, is stricter.
        if (treatedOn > signed.InUtc().Date.PlusDays(1)) refusals.Add(new(RefusalReason.TreatedAfterSigning, null));
        for (var i = 0; i < placements.Count; i++)
            refusals.AddRange(Against(placements[i], treatedOn).Select(why => new Refusal(why, i + 1)));
        return refusals.Count == 0 ? new Outcome.Made(new(treatedOn, signed, [.. placements])) : new Outcome.Refused(refusals);
    }

    private static IEnumerable<RefusalReason> Against(Placement placement, LocalDate treatedOn)
    {
        var toxin = placement.ProductClass is ProductClass.BotulinumToxinTypeA;
        if (placement.Expiry < treatedOn) yield return RefusalReason.Expired;
        if (string.IsNullOrWhiteSpace(placement.Lot)) yield return RefusalReason.LotMissing;
        if (string.IsNullOrWhiteSpace(placement.ProductName)) yield return RefusalReason.ProductMissing;
        if (string.IsNullOrWhiteSpace(placement.Device)) yield return RefusalReason.DeviceMissing;
        var amountRight = toxin
            ? placement is { Volume: null, Units: > 0 and { } units } && decimal.Round(units, 1) == units
            : placement is { Units: null, Volume.Ml: > 0 };
        if (!amountRight) yield return RefusalReason.AmountWrong;
        if (placement.Region is Region.Platysma && !toxin) yield return RefusalReason.RegionWrong;
    }

    /// <summary>What came of signing.</summary>
    public abstract record Outcome
    {
        private Outcome() { }

        /// <summary>Signed.</summary>
        public sealed record Made(TreatmentRecord Record) : Outcome;

        /// <summary>Not signed; every reason at once, never empty.</summary>
        public sealed record Refused(IReadOnlyList<Refusal> Reasons) : Outcome;
    }
}
