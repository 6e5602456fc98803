using AftercarePortal.Clinical.Anatomy;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Landmarks and measures in words.</summary>
internal static class LandmarkWords
{
    public static string Of(Landmark landmark) => landmark switch
    {
        Landmark.Tragus => "Tragus (T)",
        Landmark.Gonion => "Gonion (G)",
        Landmark.Menton => "Menton (M)",
        Landmark.Pogonion => "Pogonion (P)",
        Landmark.Cervical => "Cervical point (C)",
        Landmark.Neck => "Neck point (N)",
        Landmark.ScaleFrom => "Scale, one end (S1)",
        _ => "Scale, other end (S2)",
    };

    public static string Letter(Landmark landmark) => landmark switch { Landmark.ScaleFrom => "S1", Landmark.ScaleTo => "S2", _ => landmark.ToString()[..1] };

    public static string Of(ProfileMeasure measure) => measure switch
    {
        ProfileMeasure.GonialAngle => "Gonial angle on the photo (T, G, M)",
        ProfileMeasure.CervicomentalAngle => "Cervicomental angle (M, C, N)",
        ProfileMeasure.RamusLength => "Ramus length on the photo (T to G)",
        ProfileMeasure.BodyLength => "Body length on the photo (G to M)",
        ProfileMeasure.BodyToRamus => "Body length over ramus length",
        _ => "Chin projection (P from the line T, G)",
    };

    /// <summary>A measure with its range, for example <c>121.3° ± 5.2°</c>.</summary>
    public static string Of(Measured m) => m.Measure switch
    {
        ProfileMeasure.GonialAngle or ProfileMeasure.CervicomentalAngle => Text($"{m.Value:0.0}° ± {m.PlusMinus:0.0}°, or {m.IfTurned:0.0}° if the head was turned {ProfileMeasures.Turn}° out of profile"),
        ProfileMeasure.BodyToRamus => Text($"{m.Value:0.00} ± {m.PlusMinus:0.00}, or {m.IfTurned:0.00} if the head was turned {ProfileMeasures.Turn}° out of profile"),
        _ => Text($"{m.Value:0} ± {m.PlusMinus:0} mm, or {m.IfTurned:0} mm if the head was turned {ProfileMeasures.Turn}° out of profile"),
    };

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
