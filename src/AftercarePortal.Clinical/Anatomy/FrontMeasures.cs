namespace AftercarePortal.Clinical.Anatomy;

/// <summary>Measures left and right on one photo from the front. Describes; never a score of looks.</summary>
/// <remarks>
/// The line through the outer corners of the eyes is the level, so a tilted head or camera does not count; the midline stands upright on its middle.
/// Delta method with derivatives taken numerically; checked by simulation. Derived for this project, no outside source.
/// </remarks>
public static class FrontMeasures
{
    /// <summary>Landmarks of a photo from the front, in the order they are placed.</summary>
    public static IReadOnlyList<Landmark> Landmarks { get; } =
        [Landmark.RightEye, Landmark.LeftEye, Landmark.RightGonion, Landmark.LeftGonion, Landmark.Menton, Landmark.ScaleFrom, Landmark.ScaleTo];

    /// <summary>Standard deviation of how far a head is turned unnoticed, degrees (judgement, no source).</summary>
    public const double TurnSd = 3;

    /// <summary>How far the gonia lie behind the eyes' outer corners, mm (from memory, unchecked; only the uncertainty rests on it).</summary>
    public const double GonionDepthMm = 40;

    /// <summary>How far the menton lies before or behind the eyes' outer corners, mm (from memory, unchecked; only the uncertainty rests on it).</summary>
    public const double MentonDepthMm = 15;

    /// <summary>Without a scale the outer corners of the eyes are taken as so many mm apart to turn mm into pixels (from memory, unchecked; nothing else rests on it).</summary>
    public const double AssumedEyesMm = 90;

    /// <summary>A difference below this is usually not noticed, mm or degrees (S69 as quoted in evidence section 6b: about 3 to 4; seen, grade B/D).</summary>
    public const double Least = 4;

    private const double Radians = Math.PI / 180;

    /// <summary>Whether a photo can show this left-right difference: beyond chance 95 times in 100, and at least <see cref="Least"/>. Null: it is no difference.</summary>
    public static bool? CanBeShown(Measured measured) =>
        measured.Measure is ProfileMeasure.GonionWidth ? null : Math.Abs(measured.Value) > measured.PlusMinus && Math.Abs(measured.Value) >= Least;

    /// <summary>Everything the placed landmarks allow: the tilt with both eyes and both gonia; mm only with both ends of a scale, the chin only with the menton.</summary>
    /// <param name="marks">The landmarks placed so far.</param>
    /// <param name="scaleMm">Length between the ends of the scale, mm, above 0; null: no scale.</param>
    /// <exception cref="ArgumentException">Two landmarks coincide, or the scale is not above 0.</exception>
    public static IReadOnlyList<Measured> Of(IReadOnlyDictionary<Landmark, Spot> marks, double? scaleMm)
    {
        if (ProfileMeasures.Coincident(marks) is { } two) throw new ArgumentException($"{two.Item1} and {two.Item2} lie on one another.");
        if (scaleMm is <= 0) throw new ArgumentException("A scale is longer than 0 mm.");
        if (!Landmarks.Take(4).All(marks.ContainsKey)) return [];
        double? mm = scaleMm is { } length && marks.TryGetValue(Landmark.ScaleFrom, out var one) && marks.TryGetValue(Landmark.ScaleTo, out var end) ? length / JawGeometry.Length(one, end) : null;
        var pixels = 1 / (mm ?? AssumedEyesMm / JawGeometry.Length(marks[Landmark.RightEye], marks[Landmark.LeftEye]));      // pixels in a mm
        var width = JawGeometry.Length(marks[Landmark.RightGonion], marks[Landmark.LeftGonion]);
        var repeat = SideDifference.RepeatSd;
        var found = new List<Measured> { Make(ProfileMeasure.GonionTilt, m => Tilt(m) / Radians, repeat) };
        if (mm is not { } each) return found;
        var scaleVariance = 2 * ProfileMeasures.OtherMm * ProfileMeasures.OtherMm / (scaleMm!.Value * scaleMm.Value);      // of the scale, relative
        found.Add(Length(ProfileMeasure.GonionWidth, m => JawGeometry.Length(m[Landmark.RightGonion], m[Landmark.LeftGonion]), 0));
        found.Add(Length(ProfileMeasure.GonionHeightDifference, m => Below(m, Landmark.LeftGonion) - Below(m, Landmark.RightGonion), repeat * Radians * width * each));
        // A head turned a little moves both gonia the same way: one comes nearer to the midline by what the other goes from it.
        found.Add(Length(ProfileMeasure.GonionDistanceDifference, m => ToLeft(m, Landmark.LeftGonion) + ToLeft(m, Landmark.RightGonion), 2 * GonionDepthMm * Math.Tan(TurnSd * Radians)));
        if (marks.ContainsKey(Landmark.Menton)) found.Add(Length(ProfileMeasure.ChinOffMidline, m => ToLeft(m, Landmark.Menton), MentonDepthMm * Math.Tan(TurnSd * Radians)));
        return found;

        Measured Length(ProfileMeasure measure, Func<IReadOnlyDictionary<Landmark, Spot>, double> pixelsOf, double photoSd)
        {
            var plain = Make(measure, m => pixelsOf(m) * each, photoSd);
            return plain with { Sd = Math.Sqrt(plain.Sd * plain.Sd + plain.Value * plain.Value * scaleVariance) };
        }

        Measured Make(ProfileMeasure measure, Func<IReadOnlyDictionary<Landmark, Spot>, double> value, double photoSd) =>
            new(measure, value(marks), Math.Sqrt(Variance(marks, value, pixels) + photoSd * photoSd), null);
    }

    private static double Variance(IReadOnlyDictionary<Landmark, Spot> marks, Func<IReadOnlyDictionary<Landmark, Spot>, double> value, double pixels)
    {
        var variance = 0.0;
        var step = 1e-4 * pixels;
        foreach (var (landmark, spot) in marks)
        {
            var sd = (landmark is Landmark.RightGonion or Landmark.LeftGonion ? ProfileMeasures.GonionMm : ProfileMeasures.OtherMm) * pixels;
            foreach (var (dx, dy) in new[] { (step, 0.0), (0.0, step) })
            {
                double At(double sign) => value(new Dictionary<Landmark, Spot>(marks) { [landmark] = new(spot.X + sign * dx, spot.Y + sign * dy) });
                var slope = (At(1) - At(-1)) / (2 * step);
                variance += slope * slope * sd * sd;
            }
        }

        return variance;
    }

    // Axes: along the eyes towards the patient's left, and down, which is the side the gonia lie on.
    private static (double X, double Y) Left(IReadOnlyDictionary<Landmark, Spot> m)
    {
        var (from, to) = (m[Landmark.RightEye], m[Landmark.LeftEye]);
        var length = JawGeometry.Length(from, to);
        return ((to.X - from.X) / length, (to.Y - from.Y) / length);
    }

    private static double ToLeft(IReadOnlyDictionary<Landmark, Spot> m, Landmark which)
    {
        var (x, y) = Left(m);
        return (m[which].X - (m[Landmark.RightEye].X + m[Landmark.LeftEye].X) / 2) * x + (m[which].Y - (m[Landmark.RightEye].Y + m[Landmark.LeftEye].Y) / 2) * y;
    }

    private static double Below(IReadOnlyDictionary<Landmark, Spot> m, Landmark which)
    {
        var (x, y) = Left(m);
        double Across(Landmark l) => -(m[l].X - m[Landmark.RightEye].X) * y + (m[l].Y - m[Landmark.RightEye].Y) * x;
        return Across(which) * Math.Sign(Across(Landmark.RightGonion) + Across(Landmark.LeftGonion));
    }

    private static double Tilt(IReadOnlyDictionary<Landmark, Spot> m) =>
        Math.Atan2(Below(m, Landmark.LeftGonion) - Below(m, Landmark.RightGonion), ToLeft(m, Landmark.LeftGonion) - ToLeft(m, Landmark.RightGonion));
}
