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
    /// <summary>The day of treatment lies after the day of signing in every time zone.</summary>
    TreatedAfterSigning,
    /// <summary>The pack's last day was before the day of treatment.</summary>
    Expired,
    /// <summary>No lot: a recall would not find this patient.</summary>
    LotMissing,
    /// <summary>No product name.</summary>
    ProductMissing,
    /// <summary>No device.</summary>
    DeviceMissing,
    /// <summary>Botulinum toxin type A wants units above 0 in steps of 0.1 and no mL; everything else wants mL above 0 and no units.</summary>
    AmountWrong,
    /// <summary>Neck bands take botulinum toxin type A only.</summary>
    RegionWrong,
}
