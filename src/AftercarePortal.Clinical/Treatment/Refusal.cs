namespace AftercarePortal.Clinical.Treatment;

/// <summary>Why a record cannot be signed yet.</summary>
/// <param name="Why">The reason.</param>
/// <param name="Placement">Which placement, from 1; null when it is about the whole record.</param>
public sealed record Refusal(RefusalReason Why, int? Placement);

/// <summary>What keeps a record from being signed.</summary>
public enum RefusalReason
{
    /// <summary>The record holds no placement.</summary>
    NoPlacement,
    /// <summary>The day of treatment lies after the clinic's today.</summary>
    TreatedAfterSigning,
    /// <summary>The pack's last day was before the day of treatment.</summary>
    Expired,
    /// <summary>No lot: a recall would not find this patient.</summary>
    LotMissing,
    /// <summary>No product name.</summary>
    ProductMissing,
    /// <summary>No device.</summary>
    DeviceMissing,
    /// <summary>Botulinum toxin type A wants 0.1 to 100.0 units in steps of 0.1 and no mL; everything else wants 0.01 to 20.00 mL and no units.</summary>
    AmountWrong,
    /// <summary>Neck bands take botulinum toxin type A only.</summary>
    RegionWrong,
    /// <summary>No region.</summary>
    RegionMissing,
    /// <summary>No side.</summary>
    SideMissing,
    /// <summary>A region that lies left and right was given the midline.</summary>
    SideWrong,
    /// <summary>No plane.</summary>
    PlaneMissing,
    /// <summary>No product class.</summary>
    ProductClassMissing,
    /// <summary>No expiry.</summary>
    ExpiryMissing,
    /// <summary>More of a lot was placed than made ready.</summary>
    MoreThanDrawnUp,
    /// <summary>A toxin was made ready, and nobody wrote what it was dissolved in.</summary>
    DiluentMissing,
    /// <summary>Diluent is 0.01 to 50.00 mL.</summary>
    DiluentWrong,
}
