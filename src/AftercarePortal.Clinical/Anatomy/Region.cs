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

/// <summary>Where regions lie.</summary>
public static class RegionSides
{
    extension(Region region)
    {
        /// <summary>It lies left and right and has nothing in the midline.</summary>
        public bool HasTwoSides => region is Region.JawAngle or Region.JawBody or Region.PreJowl or Region.Preauricular;
    }
}

/// <summary>Side of the face, the patient's own left and right.</summary>
public enum Side { Left, Right, Midline }

/// <summary>Depth a deposit is placed at.</summary>
public enum Plane { Supraperiosteal, Subcutaneous, Subdermal, Intramuscular, Intradermal }
