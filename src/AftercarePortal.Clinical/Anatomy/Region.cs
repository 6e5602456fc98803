namespace AftercarePortal.Clinical.Anatomy;

/// <summary>Part of the lower face a deposit goes to.</summary>
public enum Region
{
    JawAngle,
    JawBody,
    PreJowl,
    Chin,
    LabiomentalFold,
    Preauricular,
    /// <summary>Neck bands; botulinum toxin type A only.</summary>
    Platysma,
}

/// <summary>Side of the face, the patient's own left and right.</summary>
public enum Side { Left, Right, Midline }

/// <summary>Depth a deposit is placed at.</summary>
public enum Plane { Supraperiosteal, Subcutaneous, Subdermal, Intramuscular, Intradermal }
