using AftercarePortal.Clinical.Anatomy;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Landmarks and measures in words.</summary>
internal static class LandmarkWords
{
    /// <summary>The landmark with its letters on the picture, for example <c>Gonion (G)</c>.</summary>
    public static string Of(Landmark landmark) => landmark switch
    {
        Landmark.Tragus => "Tragus (T)",
        Landmark.Gonion => "Gonion (G)",
        Landmark.Menton => "Menton (M)",
        Landmark.Pogonion => "Pogonion (P)",
        Landmark.Cervical => "Cervical point (C)",
        Landmark.Neck => "Neck point (N)",
        Landmark.RightEye => "Outer corner of the patient's own right eye (ER)",
        Landmark.LeftEye => "Outer corner of the patient's own left eye (EL)",
        Landmark.RightGonion => "Gonion on the patient's own right (GR)",
        Landmark.LeftGonion => "Gonion on the patient's own left (GL)",
        Landmark.ScaleFrom => "Scale, one end (S1)",
        _ => "Scale, other end (S2)",
    };

    /// <summary>Its letters on the picture.</summary>
    public static string Letter(Landmark landmark) => landmark switch { Landmark.ScaleFrom => "S1", Landmark.ScaleTo => "S2", Landmark.RightEye => "ER", Landmark.LeftEye => "EL", Landmark.RightGonion => "GR", Landmark.LeftGonion => "GL", _ => landmark.ToString()[..1] };

    /// <summary>The measure with the landmarks it is made of.</summary>
    public static string Of(ProfileMeasure measure) => measure switch
    {
        ProfileMeasure.GonialAngle => "Gonial angle on the photo (T, G, M)",
        ProfileMeasure.CervicomentalAngle => "Cervicomental angle (M, C, N)",
        ProfileMeasure.RamusLength => "Ramus length on the photo (T to G)",
        ProfileMeasure.BodyLength => "Body length on the photo (G to M)",
        ProfileMeasure.BodyToRamus => "Body length over ramus length",
        ProfileMeasure.GonionTilt => "Line of the gonia against the line of the eyes",
        ProfileMeasure.GonionWidth => "Gonion to gonion",
        ProfileMeasure.GonionHeightDifference => "Height of the gonia below the eyes, left less right",
        ProfileMeasure.GonionDistanceDifference => "Distance of the gonia from the midline, left less right",
        ProfileMeasure.ChinOffMidline => "Chin off the midline, towards the patient's left",
        _ => "Chin projection (P from the line T, G)",
    };

    /// <summary>A measure with its range, for example <c>121.3° ± 5.2°</c>.</summary>
    public static string Of(Measured m) => m.Measure switch
    {
        ProfileMeasure.GonialAngle or ProfileMeasure.CervicomentalAngle => Text($"{m.Value:0.0}° ± {m.PlusMinus:0.0}°, or {m.IfTurned:0.0}° if the head was turned {ProfileMeasures.Turn}° out of profile"),
        ProfileMeasure.BodyToRamus => Text($"{m.Value:0.00} ± {m.PlusMinus:0.00}, or {m.IfTurned:0.00} if the head was turned {ProfileMeasures.Turn}° out of profile"),
        ProfileMeasure.GonionTilt => Text($"{m.Value:0.0}° ± {m.PlusMinus:0.0}°"),
        _ when m.IfTurned is null => Text($"{m.Value:0.0} ± {m.PlusMinus:0.0} mm"),
        _ => Text($"{m.Value:0} ± {m.PlusMinus:0} mm, or {m.IfTurned:0} mm if the head was turned {ProfileMeasures.Turn}° out of profile"),
    };

    /// <summary>What a left-right difference from the front can say; null for what is no such difference.</summary>
    public static string? Shown(Measured m) => m.IfTurned is not null || FrontMeasures.CanBeShown(m) is not { } shown ? null
        : shown ? "More than misplaced points, a turned head and a second photo explain; look at the person." : "This difference is smaller than what photos can show.";

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
