namespace AftercarePortal.Clinical.Triage;

/// <summary>How soon a person must look. Ordered: a higher value is never lowered by a lower one.</summary>
public enum Tier { Routine, SameDay, Urgent, Emergency }

/// <summary>The written names of tiers.</summary>
public static class TierNames
{
    /// <summary>For example <c>same day</c>.</summary>
    public static string Name(this Tier tier) => tier switch
    {
        Tier.Routine => "routine",
        Tier.SameDay => "same day",
        Tier.Urgent => "urgent",
        Tier.Emergency => "emergency",
        _ => throw new ArgumentOutOfRangeException(nameof(tier), tier, null),
    };
}
