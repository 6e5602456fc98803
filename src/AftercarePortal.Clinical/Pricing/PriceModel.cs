using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>One published version of the price model: how answers become a distribution of what is paid.</summary>
/// <param name="Version">Which file and version.</param>
/// <param name="Regions">In the file's order; each code once.</param>
/// <param name="Spread">How much faces differ.</param>
/// <param name="LevelSd">Sd of a clinic's general level, log scale.</param>
/// <param name="Effects">Of answers: <c>male</c>, <c>filler-recent</c>, <c>filler-older</c>, <c>stimulator</c>, <c>strength</c> (one step).</param>
/// <param name="Laxity">Of the skin.</param>
/// <param name="Bone">Support by bone and teeth.</param>
/// <param name="SideDifference">Left and right.</param>
/// <param name="Ages">Bands, youngest first.</param>
/// <param name="Open">What may be true of somebody who left a question open.</param>
/// <param name="SecondVisit">Of fillers.</param>
/// <param name="Toxin">For the neck.</param>
/// <param name="Sessions">Of skin treatment.</param>
/// <param name="Cap">May be staged.</param>
/// <param name="MostUnits">Largest count of billed units; takes the tail.</param>
/// <param name="MostMl">Largest volume, mL; takes the tail.</param>
/// <param name="Words">Fixed sentences.</param>
/// <remarks>Method: design page "Price as a range". Where each number comes from stands beside it in the content file.</remarks>
public sealed record PriceModel(
    ContentVersion Version, IReadOnlyList<RegionPrior> Regions, SpreadPrior Spread, double LevelSd, IReadOnlyDictionary<string, EffectPrior> Effects,
    ExamFactor Laxity, ExamFactor Bone, SideDifferencePrior SideDifference, IReadOnlyList<AgeBand> Ages, OpenShares Open, SecondVisit SecondVisit, ToxinPrior Toxin,
    SessionPrior Sessions, VisitCap Cap, int MostUnits, double MostMl, PriceWords Words)
{
    /// <summary>Sd of one injector's level around the clinic's, log scale, at or above 0.</summary>
    public double InjectorSd { get; init; }

    /// <summary>Resistance a clinician expects.</summary>
    public ResistancePrior Resistance { get; init; } = new([0], [0]);

    /// <summary>The same sentences in other languages, by BCP 47 tag.</summary>
    public IReadOnlyDictionary<string, PriceWords> Translations { get; init; } = new Dictionary<string, PriceWords>();

    /// <summary>The effects a model needs.</summary>
    public static IReadOnlyList<string> EffectIds { get; } = ["male", "filler-recent", "filler-older", "stimulator", "strength"];

    /// <summary>How the spread is divided before a clinic's own cases say otherwise.</summary>
    public FaceSpread Faces => new(Spread.WholeFace, Spread.Region, Spread.Side);

    /// <summary>What is believed of a clinic that has no completed case yet.</summary>
    public ClinicFigures ColdStart()
    {
        var priors = new List<(string Id, double Mean, double Sd)> { ("level", 0, LevelSd) };
        priors.AddRange(Regions.Select(r => ($"region:{r.Code}", 0.0, r.LevelSd)));
        priors.AddRange(EffectIds.Select(id => (id, Effects[id].Mean, Effects[id].Sd)));
        priors.Add(("laxity", Laxity.Strength.Mean, Laxity.Strength.Sd));
        priors.Add(("bone", Bone.Strength.Mean, Bone.Strength.Sd));
        return new(
            0, Spread.LikeCases, Spread.Scale, [.. priors.Select(p => p.Id)], [.. priors.Select(p => p.Mean)],
            [.. priors.Select((p, i) => priors.Select((_, j) => i == j ? p.Sd * p.Sd : 0).ToArray())]);
    }

    /// <summary>What a wish may cost.</summary>
    /// <param name="wishes">What is wished, and the day.</param>
    /// <param name="answers">The intake. A question skipped, not sure or absent leaves every answer possible.</param>
    /// <param name="prices">The clinic's prices. One that is needed and not set is refused by name, never taken as 0.</param>
    /// <param name="figures">What the clinic's own cases taught; <see cref="ColdStart"/> before there are any.</param>
    /// <param name="exam">What an examination found; null before there was one.</param>
    /// <param name="options">The clinic's choices; null for the usual ones.</param>
    /// <returns>The same range for the same arguments, or every reason why there is none.</returns>
    public PriceOutcome RangeFor(Wishes wishes, Answers answers, PriceList prices, ClinicFigures figures, ExamFindings? exam = null, RangeOptions? options = null)
    {
        var prepared = PreparedPrice.Of(this, wishes, answers, prices, figures, exam ?? ExamFindings.None, options ?? RangeOptions.Usual);
        return prepared.Missing.Count > 0 ? new PriceOutcome.CannotSayYet(prepared.Missing) { FromWish = prepared.Facts.Missing } : new PriceOutcome.Known(new PriceRangeWriter(this, prices, figures, prepared).Write());
    }

    /// <summary>The same forecast without words, reasons and rounding; null where <see cref="RangeFor"/> cannot say yet. Arguments as there.</summary>
    public PriceForecast? ForecastFor(Wishes wishes, Answers answers, PriceList prices, ClinicFigures figures, ExamFindings? exam = null, RangeOptions? options = null)
    {
        var prepared = PreparedPrice.Of(this, wishes, answers, prices, figures, exam ?? ExamFindings.None, options ?? RangeOptions.Usual);
        return prepared.Missing.Count > 0 ? null : new(new PriceMixture([.. prepared.Parts.Select(p => (p.Weight, p.Engine))]).Total, prepared.Amount());
    }
}
