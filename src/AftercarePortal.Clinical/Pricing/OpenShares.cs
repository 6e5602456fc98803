namespace AftercarePortal.Clinical.Pricing;

/// <summary>How often each answer is true of people who left the question open. Never a default: every answer stays possible.</summary>
/// <param name="Male">0..1.</param>
/// <param name="WeightChange">0..1.</param>
/// <param name="ToothLoss">0..1.</param>
/// <param name="EarlierFiller">0..1: filler anywhere in face or neck.</param>
/// <param name="FillerHere">0..1: earlier filler lies where it is wished now. The questionnaire does not ask.</param>
/// <param name="When">By code of <c>earlier-filler-when</c>; adds up to 1.</param>
/// <param name="Stimulator">0..1: earlier filler of unknown kind was one that stimulates collagen.</param>
/// <param name="Strength">By code of <c>wish-strength</c>; adds up to 1.</param>
/// <param name="Product">By code of <c>wish-product</c>; adds up to 1.</param>
public sealed record OpenShares(
    double Male, double WeightChange, double ToothLoss, double EarlierFiller, double FillerHere, IReadOnlyDictionary<string, double> When, double Stimulator,
    IReadOnlyDictionary<string, double> Strength, IReadOnlyDictionary<string, double> Product);
