namespace AftercarePortal.Clinical.Anatomy;

/// <summary>What can be measured on one photo: on a profile down to the chin projection, from the front what follows.</summary>
public enum ProfileMeasure
{
    /// <summary>Angle at the gonion between tragus and menton, degrees. A proxy: not the angle of the bone.</summary>
    GonialAngle,
    /// <summary>Angle at the cervical point between menton and neck, degrees.</summary>
    CervicomentalAngle,
    /// <summary>Tragus to gonion, mm; a proxy of the ramus.</summary>
    RamusLength,
    /// <summary>Gonion to menton, mm; a proxy of the jaw's body.</summary>
    BodyLength,
    /// <summary>Body length over ramus length; needs no scale.</summary>
    BodyToRamus,
    /// <summary>Distance of the pogonion from the line through tragus and gonion, mm. A definition of this project; no published norm.</summary>
    ChinProjection,
    /// <summary>Angle between the line of the eyes' outer corners and the line of the gonia, degrees; above 0: the patient's left gonion lies lower.</summary>
    GonionTilt,
    /// <summary>Gonion to gonion, mm.</summary>
    GonionWidth,
    /// <summary>How much farther below the line of the eyes the patient's left gonion lies than the right, mm.</summary>
    GonionHeightDifference,
    /// <summary>How much farther from the midline the patient's left gonion lies than the right, mm. The midline stands upright on the middle of the eyes' line.</summary>
    GonionDistanceDifference,
    /// <summary>How far the menton lies off the midline towards the patient's left, mm.</summary>
    ChinOffMidline,
}

/// <summary>One measure.</summary>
/// <param name="Measure">What was measured.</param>
/// <param name="Value">Degrees, mm, or a bare ratio.</param>
/// <param name="Sd">Standard deviation, same unit: on a profile from misplaced points alone; from the front with the photo's own error.</param>
/// <param name="IfTurned">The value if the head was in truth turned 10 degrees out of profile; null from the front, where turning is part of <paramref name="Sd"/>.</param>
public sealed record Measured(ProfileMeasure Measure, double Value, double Sd, double? IfTurned)
{
    /// <summary>Half of the range that holds the value 95 times in 100, same unit, as far as misplaced points go.</summary>
    public double PlusMinus => 1.96 * Sd;
}

/// <summary>Measures one profile photo. Describes; never a score of looks.</summary>
public static class ProfileMeasures
{
    /// <summary>Standard deviation of placing the gonion, mm (judgement, no source).</summary>
    public const double GonionMm = 2;

    /// <summary>Standard deviation of placing every other point, mm (judgement, no source).</summary>
    public const double OtherMm = 1;

    /// <summary>Without a scale a jaw's body is taken as so many mm to turn the two above into pixels (from memory, unchecked; nothing else rests on it).</summary>
    public const double AssumedBodyMm = 73;

    /// <summary>How far the head may be turned out of profile without being noticed, degrees (judgement, no source).</summary>
    public const double Turn = 10;

    /// <summary>Two landmarks that lie on one another, or null.</summary>
    public static (Landmark, Landmark)? Coincident(IReadOnlyDictionary<Landmark, Spot> marks)
    {
        foreach (var one in marks)
            foreach (var other in marks)
                if (one.Key < other.Key && one.Value == other.Value && IsScale(one.Key) == IsScale(other.Key)) return (one.Key, other.Key);
        return null;
    }

    /// <summary>Everything the placed landmarks allow; lengths in mm only with both ends of a scale.</summary>
    /// <param name="marks">The landmarks placed so far.</param>
    /// <param name="scaleMm">Length between the ends of the scale, mm, above 0; null: no scale.</param>
    /// <exception cref="ArgumentException">Two landmarks coincide, or the scale is not above 0.</exception>
    public static IReadOnlyList<Measured> Of(IReadOnlyDictionary<Landmark, Spot> marks, double? scaleMm)
    {
        if (Coincident(marks) is { } two) throw new ArgumentException($"{two.Item1} and {two.Item2} lie on one another.");
        if (scaleMm is <= 0) throw new ArgumentException("A scale is longer than 0 mm.");
        var straight = Values(marks, scaleMm);
        var turned = Values(marks.ToDictionary(m => m.Key, m => new Spot(m.Value.X / Math.Cos(Turn * Math.PI / 180), m.Value.Y)), scaleMm, mm: Scale(marks, scaleMm)).ToDictionary(v => v.Measure, v => v.Value);
        return [.. straight.Select(s => new Measured(s.Measure, s.Value, s.Sd, turned[s.Measure]))];
    }

    private static bool IsScale(Landmark landmark) => landmark is Landmark.ScaleFrom or Landmark.ScaleTo;

    private static double? Scale(IReadOnlyDictionary<Landmark, Spot> marks, double? scaleMm) =>
        scaleMm is { } length && marks.TryGetValue(Landmark.ScaleFrom, out var from) && marks.TryGetValue(Landmark.ScaleTo, out var to) ? length / JawGeometry.Length(from, to) : null;

    private static List<(ProfileMeasure Measure, double Value, double Sd)> Values(IReadOnlyDictionary<Landmark, Spot> marks, double? scaleMm, double? mm = null)
    {
        var found = new List<(ProfileMeasure, double, double)>();
        Spot? At(Landmark landmark) => marks.TryGetValue(landmark, out var spot) ? spot : null;
        mm ??= Scale(marks, scaleMm);
        var (t, g, m, p, c, n) = (At(Landmark.Tragus), At(Landmark.Gonion), At(Landmark.Menton), At(Landmark.Pogonion), At(Landmark.Cervical), At(Landmark.Neck));
        var pixels = 1 / (mm ?? (g is { } a && m is { } b ? AssumedBodyMm / JawGeometry.Length(a, b) : 1));      // pixels in a mm
        var (sg, s) = (GonionMm * pixels, OtherMm * pixels);
        var scaleVariance = mm is null || scaleMm is not { } long_ ? 0 : 2 * OtherMm * OtherMm / (long_ * long_);      // of the scale, relative
        void Millimetres(ProfileMeasure measure, double value, double sd)
        {
            if (mm is { } each) found.Add((measure, value * each, Math.Sqrt(sd * sd + value * value * scaleVariance) * each));
        }

        if (t is { } tragus && g is { } gonion && m is { } menton)
        {
            found.Add((ProfileMeasure.GonialAngle, JawGeometry.Angle(tragus, gonion, menton), JawGeometry.AngleSd(tragus, gonion, menton, s, sg, s)));
            var (ramus, body, sd) = (JawGeometry.Length(tragus, gonion), JawGeometry.Length(gonion, menton), Math.Sqrt(sg * sg + s * s));
            // The gonion is in both lengths: its error along each arm pulls on the ratio together.
            var cos = Math.Cos(JawGeometry.Angle(tragus, gonion, menton) * Math.PI / 180);
            var ratio = body / ramus;
            found.Add((ProfileMeasure.BodyToRamus, ratio, ratio * Math.Sqrt(sd * sd / (body * body) + sd * sd / (ramus * ramus) - 2 * sg * sg * cos / (body * ramus))));
            Millimetres(ProfileMeasure.RamusLength, ramus, sd);
            Millimetres(ProfileMeasure.BodyLength, body, sd);
        }

        if (m is { } chin && c is { } cervical && n is { } neck)
            found.Add((ProfileMeasure.CervicomentalAngle, JawGeometry.Angle(chin, cervical, neck), JawGeometry.AngleSd(chin, cervical, neck, s, s, s)));
        if (p is { } pogonion && t is { } from && g is { } to)
        {
            var (value, sd) = JawGeometry.FromLine(pogonion, from, to, s, s, sg);
            Millimetres(ProfileMeasure.ChinProjection, value, sd);
        }

        return found;
    }
}
