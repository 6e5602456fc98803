namespace AftercarePortal.Clinical.Pricing;

/// <summary>Turns the worked-out distribution into what is shown.</summary>
internal sealed class PriceRangeWriter(PriceModel model, PriceList prices, ClinicFigures figures, PreparedPrice prepared)
{
    private const double Smallest = 0.04;
    private const int Many = 2000;
    private const int MostBars = 40;
    private readonly PriceFacts _facts = prepared.Facts;
    private readonly IReadOnlyList<(string? Code, double Weight, PriceCase Case, PriceEngine Engine)> _parts = prepared.Parts;

    public PriceRange Write()
    {
        var mixture = new PriceMixture([.. _parts.Select(p => (p.Weight, p.Engine))]);
        var total = mixture.Total;
        var calibration = prepared.Options.Calibration;
        long low = total.Quantile(calibration.Levels.Lower), high = total.Quantile(calibration.Levels.Upper);
        var step = MoneyStep.For(low, high, Currency.MinorDigits(prices.Currency) ?? 2);
        var (from, to) = MoneyStep.Outwards(low, high, step);
        var atMost = Math.Max(to, MoneyStep.Up(total.Quantile(0.99), step));
        var shares = mixture.Shares();
        var packages = Packages();
        return new(
            model.Version, prices.Version, figures.Cases, new(Money(from), Money(to)), Money(atMost), Math.Floor((decimal)(total.Inside(from, to) + 1e-9) * 1000) / 1000,
            new PriceLines(model, prices, _parts, calibration.Promised).Of(total.Quantile(0.5)), Reasons(shares), Narrowings(mixture.IfKnown(calibration.Promised), shares), [.. _facts.LeftOpen.Select(id => model.Words.Questions[id])],
            [.. Notes(), .. packages.Select(Says), .. Staged()], Bars(total, step, atMost), Chances(total))
        {
            Promised = calibration.Promised,
            Amount = prepared.Amount(),
            Packages = packages,
            WidenedBy = calibration.Widened ? calibration.Quotes : 0,
        };
    }

    private IEnumerable<string> Notes()
    {
        foreach (var id in prepared.Exam.Notes()) yield return model.Words.Notes[id];
        if (prepared.Options.Injector is { } injector && figures.Injectors.Count > 0 && _facts.Regions.Count > 0)
            yield return model.Words.Notes[figures.Injectors.Any(i => i.Id == injector) ? "named-injector" : "new-injector"];
        if (prepared.Options.Calibration.Widened) yield return model.Words.Notes["widened"];
    }

    private List<RangePackage> Packages()
    {
        var found = new List<RangePackage>();
        foreach (var (code, weight, price, engine) in _parts)
            if (code is not null && price.Products[0].Packages.Count > 0) Add(prices.PackagesFor(code, _facts.RegionCodes), engine.PackageChances(0), weight);
        // The same whichever product is chosen.
        if (_parts[0].Case.SessionPackages.Count > 0) Add(prices.PackagesFor(PricePackage.Sessions, []), _parts[0].Engine.SessionPackageChances(), 1);
        return [.. found.OrderByDescending(p => p.Chance)];

        void Add(IReadOnlyList<PricePackage> packages, double[] chances, double weight)
        {
            foreach (var (package, chance) in packages.Zip(chances))
                if (Math.Round(100 * weight * chance) >= 1) found.Add(new(package.Id, package.Names, package.Units, Money(prices.Taxed(package.Price)), weight * chance));
        }
    }

    private string Says(RangePackage package) =>
        model.Words.Notes["package"].Replace("{package}", package.Names.GetValueOrDefault(model.Words.Language, package.Id), StringComparison.Ordinal)
            .Replace("{price}", $"{package.Price}", StringComparison.Ordinal).Replace("{chance}", $"{Math.Round(100 * package.Chance)}", StringComparison.Ordinal);

    private Money Money(long minor) => new(minor, prices.Currency);

    private List<Reason> Reasons(IReadOnlyDictionary<string, double> shares)
    {
        if (shares.Count == 0) return [new("onlyWhenTreating", 1, model.Words.Reasons["onlyWhenTreating"])];
        var large = shares.Where(s => s.Value >= Smallest).OrderByDescending(s => s.Value).ThenBy(s => s.Key, StringComparer.Ordinal).ToList();
        var small = 1 - large.Sum(s => s.Value);
        if (small > 5e-4) large.Add(new("smaller", small));
        // Thousandths by largest remainder, so that the shares add up to exactly 1.
        var whole = large.Select(s => (int)Math.Floor(s.Value * 1000)).ToArray();
        foreach (var i in Enumerable.Range(0, whole.Length).OrderByDescending(i => large[i].Value * 1000 - whole[i]).Take(1000 - whole.Sum())) whole[i]++;
        return [.. large.Select((s, i) => new Reason(s.Key, whole[i] / 1000m, model.Words.Reasons[s.Key]))];
    }

    private List<Narrowing> Narrowings(IReadOnlyDictionary<string, (double Score, double Width)> known, IReadOnlyDictionary<string, double> shares)
    {
        if (!(known["now"].Score > 0)) return [];
        int Less(string id) => (int)Math.Round(100 * Math.Max(0, 1 - known[id].Score / known["now"].Score));
        Narrowing Known(string id, string percent) => new(id, Less(id), model.Words.Narrows[id].Replace("{percent}", percent, StringComparison.Ordinal)) { Width = Money((long)Math.Round(known[id].Width)) };
        var exam = Known("exam", $"{Less("exam")}");
        var list = new List<Narrowing> { exam };
        if (Less("examAndPlan") > Less("exam")) list.Insert(0, Known("examAndPlan", $"{Less("examAndPlan")}"));
        // At the cold start the clinic's own first cases teach more than any one examination can.
        double Share(string id) => shares.GetValueOrDefault(id);
        if (Share("clinicRecords") >= Smallest)
            list.Insert(Share("clinicRecords") > Share("laxity") + Share("bone") + Share("asymmetry") ? 0 : list.Count, new("records", null, model.Words.Narrows["records"]));
        return list;
    }

    private IEnumerable<string> Staged()
    {
        var capped = _facts.Regions.Where(r => model.Cap.Regions.Contains(r.Code)).ToList();
        if (capped.Count == 0 || _parts.FirstOrDefault(p => p.Code == model.Cap.Product) is not { Engine: { } engine } part) yield break;
        if (capped.Count < _facts.Regions.Count)
        {
            var product = part.Case.Products[0];
            engine = new(part.Case with { Products = [product with { Regions = [.. product.Regions.Where((_, i) => model.Cap.Regions.Contains(_facts.Regions[i].Code))] }], SecondVisit = null }, null, prepared.Options.Bases);
        }

        // The cap is a side's; both sides together stand for it.
        var chance = (int)Math.Round(100 * engine.ChanceAbove(2 * model.Cap.MlPerSide));
        if (chance >= 1) yield return model.Words.Staged.Replace("{chance}", $"{chance}", StringComparison.Ordinal).Replace("{product}", model.Words.Products[model.Cap.Product], StringComparison.Ordinal);
    }

    private static List<PriceBar> Bars(PriceDistribution total, long step, long atMost)
    {
        var start = MoneyStep.Down(total.Atoms[0].Total, step);
        while ((atMost - start + step - 1) / step > MostBars) step *= 2;
        var bars = new List<PriceBar>();
        for (var from = start; from < atMost || bars.Count == 0; from += step)
        {
            var (lower, upper) = (from, from + step);
            bars.Add(new(lower, upper, total.Atoms.Where(a => (a.Total > lower || (bars.Count == 0 && a.Total == lower)) && a.Total <= upper).Sum(a => a.Probability)));
        }

        return bars;
    }

    private static List<PriceChance> Chances(PriceDistribution total)
    {
        // Billing by small units makes tens of thousands of totals; nobody reads them, and each kept range would hold them.
        var notWorthKeeping = total.Atoms.Count > Many ? 2e-4 : 1e-7;
        var kept = new List<PriceChance>();
        double waiting = 0;
        for (var i = 0; i < total.Atoms.Count; i++)
        {
            waiting += total.Atoms[i].Probability;
            if (waiting < notWorthKeeping && i < total.Atoms.Count - 1) continue;
            kept.Add(new(total.Atoms[i].Total, waiting));
            waiting = 0;
        }

        return kept;
    }
}
