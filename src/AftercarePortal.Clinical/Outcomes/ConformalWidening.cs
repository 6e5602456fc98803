namespace AftercarePortal.Clinical.Outcomes;

/// <summary>How far from one half the levels of a range have to lie so that enough past totals would have been held.</summary>
/// <remarks>Split conformal prediction (Vovk; Lei et al. 2018; Gupta et al. 2022: from memory, unchecked). With exchangeable cases at least 1 - alpha are held.</remarks>
/// <param name="Rank">Which of the scores in rising order, from 1; above their count when there are too few.</param>
/// <param name="Q">0..0.5.</param>
public sealed record ConformalWidening(int Rank, double Q)
{
    /// <summary>From so many completed quotes it is used; before, the model's own range stands.</summary>
    public const int From = 30;

    /// <summary>Works it out.</summary>
    /// <param name="scores"><see cref="PointForecast.NestedScore"/> of completed quotes.</param>
    /// <param name="alpha">Share that may lie outside.</param>
    public static ConformalWidening Of(IReadOnlyList<double> scores, double alpha = 0.2)
    {
        // 31 * 0.8 is 24.800000000000001 in binary: a whole product must not be pushed up by its last bit.
        var rank = (int)Math.Ceiling((scores.Count + 1) * (1 - alpha) - 1e-9);
        return new(rank, rank > scores.Count ? 0.5 : scores.Order().ElementAt(Math.Max(0, rank - 1)));
    }

    /// <summary>Half the mass between the levels of the next ranges: 0.40 as promised, or more. Never less: a range is only widened.</summary>
    public static double HalfMass(IReadOnlyList<double> scores) => scores.Count < From ? 0.40 : Math.Clamp(Of(scores).Q, 0.40, 0.5);
}
