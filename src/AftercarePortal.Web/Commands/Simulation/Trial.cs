using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Web.Commands.Simulation;

/// <summary>Plays one invented clinic: a range before each treatment, learning after every twenty, and what simpler rules would have said of the same patients.</summary>
internal static class Trial
{
    internal const string Method = "this method", Widened = "with conformal widening", BothWays = "conformal both ways (exact 80 %)", BySet = "empirical 10-90 by region set, n >= 10", All = "empirical 10-90, all",
        Published = "published min-max per region", OwnMinMax = "clinic's own min-max", Ml = "total mL: this method", MlEmpirical = "total mL: empirical 10-90";

    internal static readonly string[] Rules = [Method, Widened, BothWays, BySet, All, Published, OwnMinMax, Ml, MlEmpirical];

    private const int Block = 20, Enough = 10;
    private const long Fee = 5000;
    private static readonly ProductPrice Syringe = new(1.5, 0.1, 60000, 60000);
    private static readonly PriceList Prices = new(new ContentVersion("simulated-prices", 1), "USD", new Dictionary<string, ProductPrice> { ["caha-filler"] = Syringe }, null, null, Fee, 0);

    /// <summary>One tally a rule. Money in whole units, amounts in mL.</summary>
    internal static Dictionary<string, Tally> Of(PriceModel content, Generator generator, int patients, int seed)
    {
        var model = content with { SecondVisit = content.SecondVisit with { Probability = 0 } };
        var clinic = new SimulatedClinic(model, generator, seed);
        var tallies = Rules.ToDictionary(r => r, r => new Tally(r));
        List<CompletedCase> past = [];
        List<(string Set, double Money, double Ml)> seen = [];
        List<double> scores = [];
        var figures = model.ColdStart();
        var options = new RangeOptions { Bases = new() };
        double widened = 0.4, both = 0.4;
        for (var i = 1; i <= patients; i++)
        {
            var came = clinic.Next(i, Syringe.UnitMl);
            var ml = came.Amounts.Sum(a => a.Ml);
            var money = MoneyOf(ml);
            string[] regions = [.. came.Amounts.Select(a => a.Region).Distinct()];
            var set = string.Join('+', regions);
            var forecast = model.ForecastFor(new(regions, came.Product, came.Answers.ValueOf("wish-strength"), came.On), came.Answers, Prices, figures, null, options)
                ?? throw new InvalidOperationException("The model has no forecast for a simulated patient.");
            void Range(string rule, double half) => tallies[rule].Add(forecast.Total.Quantile(0.5 - half) / 100.0, forecast.Total.Quantile(0.5 + half) / 100.0, money);
            Range(Method, 0.4);
            Range(Widened, widened);
            Range(BothWays, both);
            var (low, high) = MinMax(model, regions);
            Empirical(tallies[BySet], [.. seen.Where(s => s.Set == set).Select(s => s.Money)], [.. seen.Select(s => s.Money)], (low, high), money);
            Empirical(tallies[All], [.. seen.Select(s => s.Money)], [], (low, high), money);
            tallies[Published].Add(low, high, money);
            if (seen.Count >= Enough) tallies[OwnMinMax].Add(seen.Min(s => s.Money), seen.Max(s => s.Money), money);
            else tallies[OwnMinMax].Add(low, high, money);
            tallies[Ml].Add(forecast.Amount!.At(0.1), forecast.Amount.At(0.9), ml);
            Empirical(tallies[MlEmpirical], [.. seen.Where(s => s.Set == set).Select(s => s.Ml)], [.. seen.Select(s => s.Ml)], (PublishedMl(model, regions, 0.6), PublishedMl(model, regions, 1.8)), ml);
            scores.Add(PointForecast.Of([.. forecast.Total.Atoms.Select(a => (a.Total / 100.0, a.Probability))], money).NestedScore);
            seen.Add((set, money, ml));
            past.Add(came);
            if (i % Block != 0) continue;
            figures = Learning.From(model, past, came.On).Figures;
            widened = Calibration.Of(scores).HalfMass;
            both = scores.Count < ConformalWidening.From ? 0.4 : Math.Min(Calibration.Most, ConformalWidening.Of(scores).Q);
        }

        return tallies;
    }

    private static double MoneyOf(double ml) => (Fee + Math.Max(1, (long)Math.Ceiling((ml - Syringe.ToleranceMl) / Syringe.UnitMl)) * Syringe.First) / 100.0;

    private static double PublishedMl(PriceModel model, string[] regions, double factor) => model.Regions.Where(r => regions.Contains(r.Code)).Sum(r => r.Sides * r.MedianMl * factor);

    private static (double Low, double High) MinMax(PriceModel model, string[] regions) => (MoneyOf(PublishedMl(model, regions, 0.6)), MoneyOf(PublishedMl(model, regions, 1.8)));

    // The narrower pool when it holds enough, else the wider, else what is published.
    private static void Empirical(Tally tally, double[] own, double[] wider, (double Low, double High) published, double came)
    {
        var pool = own.Length >= Enough ? own : wider.Length >= Enough ? wider : null;
        if (pool is null) { tally.Add(published.Low, published.High, came); return; }
        Array.Sort(pool);
        double At(double level) => pool[Math.Clamp((int)Math.Ceiling(level * pool.Length) - 1, 0, pool.Length - 1)];
        tally.Add(At(0.1), At(0.9), came);
    }
}
