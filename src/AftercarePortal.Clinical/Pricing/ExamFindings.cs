namespace AftercarePortal.Clinical.Pricing;

/// <summary>What a clinician found at an examination, as levels of the model, 0 the mildest. Null where it was not recorded.</summary>
/// <param name="Laxity">Looseness of the skin.</param>
/// <param name="Bone">Loss of support by bone and teeth.</param>
/// <param name="SideDifference">Between left and right.</param>
public sealed record ExamFindings(int? Laxity, int? Bone, int? SideDifference)
{
    /// <summary>Nothing was examined.</summary>
    public static ExamFindings None { get; } = new(null, null, null);

    /// <summary>Levels the model does not have, in plain words.</summary>
    internal IEnumerable<string> Faults(PriceModel model)
    {
        if (Laxity < 0 || Laxity >= model.Laxity.Scores.Count) yield return $"the laxity found at the examination must be a level from 0 to {model.Laxity.Scores.Count - 1}";
        if (Bone < 0 || Bone >= model.Bone.Scores.Count) yield return $"the bone loss found at the examination must be a level from 0 to {model.Bone.Scores.Count - 1}";
        if (SideDifference < 0 || SideDifference >= model.SideDifference.Factor.Count) yield return $"the side difference found at the examination must be a level from 0 to {model.SideDifference.Factor.Count - 1}";
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
