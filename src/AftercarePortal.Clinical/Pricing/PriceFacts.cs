using AftercarePortal.Clinical.Intake;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>What the answers leave possible, as weights: known things have weight 1.</summary>
/// <param name="Regions">Wished filler regions, in the model's order.</param>
/// <param name="Toxin">Whether the neck is wished.</param>
/// <param name="Sessions">Whether sessions of skin treatment may come with it.</param>
/// <param name="Products">Filler products; one without a code when no filler is wished.</param>
/// <param name="Ages">Middle of the band, years.</param>
/// <param name="WeightChange">Probability.</param>
/// <param name="ToothLoss">Probability.</param>
/// <param name="SideDifference">Probability of each level.</param>
/// <param name="Shifts">Effects that are true together: parameter and factor.</param>
/// <param name="LeftOpen">linkIds without an answer.</param>
/// <param name="Missing">What is needed and not there, or cannot be right.</param>
internal sealed record PriceFacts(
    IReadOnlyList<RegionPrior> Regions, bool Toxin, bool Sessions, IReadOnlyList<(string? Code, double Weight)> Products, IReadOnlyList<(double Age, double Weight)> Ages,
    double WeightChange, double ToothLoss, IReadOnlyList<double> SideDifference, IReadOnlyList<(double Weight, IReadOnlyList<(string Parameter, double Factor)> Effects)> Shifts,
    IReadOnlyList<string> LeftOpen, IReadOnlyList<string> Missing)
{
    private const int Oldest = 110;

    /// <summary>Codes of the wished filler regions.</summary>
    public IReadOnlyList<string> RegionCodes => [.. Regions.Select(r => r.Code)];

    /// <summary>Reads them.</summary>
    /// <param name="model">The model.</param>
    /// <param name="wishes">What is wished.</param>
    /// <param name="answers">The intake.</param>
    /// <param name="fillerHere">Whether a clinician found earlier filler there; null when nobody looked.</param>
    /// <param name="always">Effects that hold whatever the answers: parameter and factor.</param>
    public static PriceFacts From(PriceModel model, Wishes wishes, Answers answers, bool? fillerHere = null, IReadOnlyList<(string Parameter, double Factor)>? always = null)
    {
        List<string> open = [], missing = [];
        var regions = model.Regions.Where(r => wishes.Regions.Contains(r.Code)).ToList();
        var toxin = wishes.Regions.Contains(model.Toxin.Region);
        if (wishes.Regions.Count == 0) missing.Add("you have not told us which parts you would like to change");
        else if (wishes.Regions.Any(r => r != model.Toxin.Region && regions.All(known => known.Code != r))) missing.Add("this model has no figures for one of the parts you named (wish-regions)");
        var ages = AgesOf(model, answers, wishes.On, open, missing);
        var weight = YesNo(answers, "weight-change", "yes", "no", model.Open.WeightChange, open);
        // Only fillers depend on the rest.
        double male = 0, teeth = 0;
        List<(double, string?)> filler = [(1, null)], strength = [(1, null)];
        IReadOnlyList<(string?, double)> products = [(null, 1)];
        if (regions.Count > 0)
        {
            male = YesNo(answers, "sex", "male", "female", model.Open.Male, open);
            teeth = YesNo(answers, "tooth-loss", "yes", "no", model.Open.ToothLoss, open);
            filler = EarlierFiller.Possible(model, answers, fillerHere, open);
            products = ProductsOf(model, wishes, open, missing);
            if (wishes.Strength is { } wished && model.Open.Strength.ContainsKey(wished)) strength = [(1, wished)];
            else
            {
                open.Add("wish-strength");
                strength = [.. model.Open.Strength.Select(s => (s.Value, (string?)s.Key))];
            }
        }

        var side = answers.ValueOf("side-difference") is { } said && model.SideDifference.ByAnswer.TryGetValue(said, out var levels) ? levels : null;
        if (side is null && regions.Any(r => r.Sides == 2)) open.Add("side-difference");
        var shifts = new List<(double, IReadOnlyList<(string, double)>)>();
        foreach (var (isMale, m) in new[] { (true, male), (false, 1 - male) })
            foreach (var (f, fillerId) in filler)
                foreach (var (s, wish) in strength)
                {
                    if (!(m * f * s > 0)) continue;
                    var effects = new List<(string, double)>();
                    if (isMale) effects.Add(("male", 1));
                    if (fillerId is not null) effects.Add((fillerId, 1));
                    if (wish is "subtle" or "strong") effects.Add(("strength", wish is "strong" ? 1 : -1));
                    shifts.Add((m * f * s, [.. effects, .. always ?? []]));
                }

        return new(
            regions, toxin, wishes.Regions.Any(model.Sessions.Regions.Contains), products, ages, weight, teeth, side ?? model.SideDifference.Unanswered, shifts,
            [.. PriceWords.LinkIds.Where(open.Contains)], missing);
    }

    private static IReadOnlyList<(string?, double)> ProductsOf(PriceModel model, Wishes wishes, List<string> open, List<string> missing)
    {
        if (wishes.Product is { } product and not "unsure")
        {
            if (!model.Open.Product.ContainsKey(product)) missing.Add("this model has no figures for the product you named (wish-product)");
            return [(product, 1)];
        }

        open.Add("wish-product");
        return [.. model.Open.Product.Where(p => p.Value > 0).Select(p => ((string?)p.Key, p.Value))];
    }

    private static IReadOnlyList<(double, double)> AgesOf(PriceModel model, Answers answers, LocalDate on, List<string> open, List<string> missing)
    {
        if (answers.ValueOf("birth-date") is not { } text)
        {
            open.Add("birth-date");
            return [.. model.Ages.Where(b => b.Share > 0).Select(b => (b.Middle, b.Share))];
        }

        if (LocalDatePattern.Iso.Parse(text) is not { Success: true, Value: var born } || born > on || Period.Between(born, on, PeriodUnits.Years).Years > Oldest)
        {
            missing.Add("the date of birth cannot be right (birth-date)");
            return [];
        }

        var years = Period.Between(born, on, PeriodUnits.Years).Years;
        if (years >= model.Ages[0].From) return [(model.Ages.Last(b => b.From <= years).Middle, 1)];
        missing.Add("this treatment is for adults only");
        return [];
    }

    private static double YesNo(Answers answers, string linkId, string yes, string no, double ifOpen, List<string> open)
    {
        var value = answers.ValueOf(linkId);
        if (value == yes) return 1;
        if (value == no) return 0;
        open.Add(linkId);
        return ifOpen;
    }
}
