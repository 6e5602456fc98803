namespace AftercarePortal.Clinical.Anatomy;

/// <summary>How much an angle differs between the patient's left and right, as far as two photos can say.</summary>
/// <param name="Degrees">Left less right.</param>
/// <param name="Sd">Standard deviation, degrees.</param>
public sealed record SideDifference(double Degrees, double Sd)
{
    /// <summary>Standard deviation of an angle when the photo is taken again, degrees: 1.85 for angles inside the face on repeated cephalograms (S71b, seen); photos may do worse.</summary>
    public const double RepeatSd = 1.85;

    /// <summary>Below this no change is reported, degrees (evidence section 6c, derived from a standard error of 2).</summary>
    public const double Least = 6;

    /// <summary>From the two angles.</summary>
    public static SideDifference Of(Measured left, Measured right) =>
        new(left.Value - right.Value, Math.Sqrt(left.Sd * left.Sd + right.Sd * right.Sd + 2 * RepeatSd * RepeatSd));

    /// <summary>Whether photos can show it: beyond chance 95 times in 100, and at least <see cref="Least"/>.</summary>
    public bool CanBeShown => Math.Abs(Degrees) > 1.96 * Sd && Math.Abs(Degrees) >= Least;
}
