using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Works out what a wish may take in mL, beside what it may cost.</summary>
public static class AmountForecasts
{
    private static readonly double[] Points = [.. Enumerable.Range(0, 141).Select(i => 0.02 * Math.Exp(i * Math.Log(40 / 0.02) / 140))];

    /// <summary>Every wished filler region, then all of them together.</summary>
    /// <returns>Empty when no filler is wished, or the wish cannot be read.</returns>
    public static IReadOnlyList<AmountForecast> Of(PriceModel model, Wishes wishes, Answers answers, ClinicFigures figures, ExamFindings? exam = null)
    {
        exam ??= ExamFindings.None;
        var facts = PriceFacts.From(model, wishes, answers) with { Toxin = false, Sessions = false };
        if (facts.Missing.Count > 0 || facts.Regions.Count == 0 || exam.Faults(model).Any() || figures.Fault() is not null) return [];
        if (exam.SideDifference is { } side) facts = facts with { SideDifference = [.. model.SideDifference.Factor.Select((_, i) => i == side ? 1.0 : 0)] };
        var product = model.Open.Product.Keys.First();
        // Amounts know no prices: any list will do.
        var prices = new PriceList(model.Version, "XXX", new Dictionary<string, ProductPrice> { [product] = new(1, 0, 1, 1) }, null, null, null, 0);
        AmountForecast For(string name, PriceFacts some) => new(name, Quantiles(new PriceEngine(PriceCaseBuilder.For(model, some, product, prices, figures, exam)).ChanceAtMost(0, Points)));
        var all = For(AmountForecast.All, facts);
        return facts.Regions.Count == 1
            ? [all with { Region = facts.Regions[0].Code }, all]
            : [.. facts.Regions.Select(r => For(r.Code, facts with { Regions = [r] })), all];
    }

    // Straight lines between the points, on the logarithm of the amount.
    private static double[] Quantiles(double[] below)
    {
        var amounts = new double[99];
        var i = 0;
        for (var n = 1; n <= 99; n++)
        {
            var level = n / 100.0;
            while (i < below.Length - 1 && below[i] < level) i++;
            var (from, to) = (i == 0 ? 0 : below[i - 1], below[i]);
            var at = i == 0 || to <= from ? Math.Log(Points[i]) : Math.Log(Points[i - 1]) + (level - from) / (to - from) * Math.Log(Points[i] / Points[i - 1]);
            amounts[n - 1] = Math.Round(Math.Exp(at), 3);
        }

        return amounts;
    }
}
