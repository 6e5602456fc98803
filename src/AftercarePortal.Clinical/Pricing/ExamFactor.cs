namespace AftercarePortal.Clinical.Pricing;

/// <summary>Something only the examination shows: laxity of the skin, support of the bone.</summary>
/// <param name="Scores">Log shift of each level, mildest first.</param>
/// <param name="Strength">How strongly a clinic sees the scores; mean 1 as published.</param>
/// <param name="Cuts">Ordered logit, one fewer than levels.</param>
/// <param name="ByYear">Added to the logit for each year above <paramref name="FromAge"/>.</param>
/// <param name="FromAge">Years.</param>
/// <param name="Answer">linkId of the question whose yes moves it.</param>
/// <param name="IfYes">Added to the logit when that answer is yes.</param>
public sealed record ExamFactor(IReadOnlyList<double> Scores, EffectPrior Strength, IReadOnlyList<double> Cuts, double ByYear, double FromAge, string Answer, double IfYes)
{
    /// <summary>Probability of each level for one age, in years, and one answer.</summary>
    public double[] Levels(double age, bool yes) => OrderedLogit.Levels(Cuts, ByYear * (age - FromAge) + (yes ? IfYes : 0));
}
