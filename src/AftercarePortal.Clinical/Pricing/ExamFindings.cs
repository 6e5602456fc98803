using AftercarePortal.Clinical.Anatomy;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>What a clinician found at an examination, as levels of the model, 0 the mildest. Null where it was not recorded. Never a patient's own measure.</summary>
/// <param name="Laxity">Looseness of the skin.</param>
/// <param name="Bone">Loss of support by bone and teeth.</param>
/// <param name="SideDifference">Between left and right.</param>
public sealed record ExamFindings(int? Laxity, int? Bone, int? SideDifference)
{
    private const double LeastAngle = 80, MostAngle = 170, OddDifference = 15;

    // Bands of the left-right difference, degrees (design page "Profile geometry").
    private const double Small = 3, Clear = 6;

    /// <summary>Nothing was examined.</summary>
    public static ExamFindings None { get; } = new(null, null, null);

    /// <summary>Angle of the jaw on the left, degrees, 80..170.</summary>
    public double? GonialLeft { get; init; }

    /// <summary>The same on the right.</summary>
    public double? GonialRight { get; init; }

    /// <summary>How far misplaced points put left less right off where angles are of photos, standard deviation in degrees; 0: none is.</summary>
    public double PlacedSd { get; init; }

    /// <summary>Whether earlier filler was found where it is wished now.</summary>
    public bool? FillerHere { get; init; }

    /// <summary>Resistance of the tissue that is expected: a level of the model, 0 for none.</summary>
    public int? Resistance { get; init; }

    /// <summary>Levels and angles that cannot be, in plain words.</summary>
    internal IEnumerable<string> Faults(PriceModel model)
    {
        if (Laxity < 0 || Laxity >= model.Laxity.Scores.Count) yield return $"the laxity found at the examination must be a level from 0 to {model.Laxity.Scores.Count - 1}";
        if (Bone < 0 || Bone >= model.Bone.Scores.Count) yield return $"the bone loss found at the examination must be a level from 0 to {model.Bone.Scores.Count - 1}";
        if (SideDifference < 0 || SideDifference >= model.SideDifference.Factor.Count) yield return $"the side difference found at the examination must be a level from 0 to {model.SideDifference.Factor.Count - 1}";
        if (Resistance < 0 || Resistance >= model.Resistance.Shift.Count) yield return $"the resistance expected at the examination must be a level from 0 to {model.Resistance.Shift.Count - 1}";
        foreach (var (side, angle) in new[] { ("left", GonialLeft), ("right", GonialRight) })
            if (angle is { } degrees && !(degrees is >= LeastAngle and <= MostAngle)) yield return $"the angle of the jaw on the {side} must be {LeastAngle} to {MostAngle} degrees";
    }

    /// <summary>Probability of each level of left-right difference, as far as the examination says; null when it does not.</summary>
    internal double[]? Sides(PriceModel model)
    {
        var levels = model.SideDifference.Factor.Count;
        if (SideDifference is { } found) return [.. Enumerable.Range(0, levels).Select(i => i == found ? 1.0 : 0)];
        // The bands of the angle are those of a model with three levels.
        if (GonialLeft is not { } left || GonialRight is not { } right || levels != 3) return null;
        var difference = left - right;
        var sd = Math.Sqrt(2 * Anatomy.SideDifference.RepeatSd * Anatomy.SideDifference.RepeatSd + PlacedSd * PlacedSd);
        double Within(double degrees) => NormalCurve.Below((degrees - difference) / sd) - NormalCurve.Below((-degrees - difference) / sd);
        double small = Within(Small), clear = Within(Clear) - small;
        return [small, clear, 1 - small - clear];
    }

    /// <summary>Ids of the model's sentences about what is odd or makes the range wider.</summary>
    internal IEnumerable<string> Notes()
    {
        if (Resistance > 0) yield return "resistance";
        if (SideDifference is not null) yield break;
        if (GonialLeft is { } left && GonialRight is { } right)
        {
            if (Math.Abs(left - right) > OddDifference) yield return "odd-angles";
        }
        else if (GonialLeft is not null || GonialRight is not null) yield return "one-angle";
    }

    /// <summary>The table once these are known: what the age makes likely together stays so.</summary>
    internal double[][] Given(double[][] joint)
    {
        if (Laxity is null && Bone is null) return joint;
        for (var g = 0; g < joint.Length; g++)
            for (var b = 0; b < joint[g].Length; b++)
                if ((Laxity is { } laxity && g != laxity) || (Bone is { } bone && b != bone)) joint[g][b] = 0;
        var left = joint.Sum(row => row.Sum());
        return [.. joint.Select(row => row.Select(p => p / left).ToArray())];
    }
}
