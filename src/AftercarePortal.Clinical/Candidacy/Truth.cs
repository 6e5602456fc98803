namespace AftercarePortal.Clinical.Candidacy;

/// <summary>What is known about a statement. Ordered: the weaker of two is their conjunction, the stronger their disjunction.</summary>
/// <remarks>Strong three-valued logic of Kleene (from memory, unchecked).</remarks>
public enum Truth
{
    /// <summary>Known not to hold.</summary>
    No,
    /// <summary>Skipped, not sure, absent, or not readable. Counts as the flagging answer.</summary>
    Unknown,
    /// <summary>Known to hold.</summary>
    Yes,
}
