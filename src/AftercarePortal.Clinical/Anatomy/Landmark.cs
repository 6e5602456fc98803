namespace AftercarePortal.Clinical.Anatomy;

/// <summary>A point a person places on a photo. Soft tissue, not bone.</summary>
public enum Landmark
{
    /// <summary>T: the small cartilage in front of the ear canal, its centre.</summary>
    Tragus,
    /// <summary>G: the corner of the jaw; the hardest to place.</summary>
    Gonion,
    /// <summary>M: lowest point of the chin's outline.</summary>
    Menton,
    /// <summary>P: foremost point of the chin.</summary>
    Pogonion,
    /// <summary>C: where the neck meets the underside of the jaw.</summary>
    Cervical,
    /// <summary>N: a point of the neck's front below C.</summary>
    Neck,
    /// <summary>One end of something of known length in the plane of the jaw.</summary>
    ScaleFrom,
    /// <summary>The other end of it.</summary>
    ScaleTo,
    /// <summary>ER: outer corner of the patient's own right eye, on a photo from the front.</summary>
    RightEye,
    /// <summary>EL: outer corner of the patient's own left eye, on a photo from the front.</summary>
    LeftEye,
    /// <summary>GR: corner of the jaw on the patient's own right, on a photo from the front.</summary>
    RightGonion,
    /// <summary>GL: corner of the jaw on the patient's own left, on a photo from the front.</summary>
    LeftGonion,
}

/// <summary>A place on a photo, in pixels of it: x to the right, y down.</summary>
public readonly record struct Spot(double X, double Y);
