namespace AftercarePortal.Clinical.Candidacy;

/// <summary>What a finding asks for, strongest first.</summary>
public enum FindingKind
{
    /// <summary>A clinician must clear it before any treatment is booked.</summary>
    ClearFirst,
    /// <summary>Limited in time; may carry the earliest date.</summary>
    Wait,
    /// <summary>A caution to weigh together.</summary>
    Discuss,
}
