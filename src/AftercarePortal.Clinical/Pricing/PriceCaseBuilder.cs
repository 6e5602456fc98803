namespace AftercarePortal.Clinical.Pricing;

/// <summary>Turns what is known into the engine's numbers.</summary>
internal static class PriceCaseBuilder
{
    /// <summary>The case of one filler product; without a product when no filler is wished.</summary>
    public static PriceCase For(PriceModel model, PriceFacts facts, string? product, PriceList prices, ClinicFigures figures, ExamFindings exam, string? injector = null)
    {
        IReadOnlyList<string> regions = [.. facts.Regions.Select(r => $"region:{r.Code}")];
        var level = figures.MeanOf("level");
        var reduced = facts.Shifts.Select(s => (
            s.Weight,
            Delta: s.Effects.Sum(e => e.Factor * figures.MeanOf(e.Parameter)),
            Spread: regions.Count > 0 ? figures.Reduce([("level", 1), .. s.Effects], regions) : (Shared: 0, Own: [], Missed: 0))).ToList();
        // What the shared part leaves to a region hardly differs between shifts: their weighted mean.
        var own = regions.Select((_, i) => reduced.Sum(s => s.Weight * s.Spread.Own[i])).ToList();
        var (laxity, bone) = (figures.MeanOf("laxity"), figures.MeanOf("bone"));
        var spread = figures.Spread ?? model.Faces;
        var resistance = exam.Resistance ?? 0;
        var (harder, looser) = (model.Resistance.Shift[resistance], model.Resistance.Sd[resistance]);
        var who = figures.SpreadOf(injector, model.InjectorSd);
        return new(
            figures.Nu, figures.S2, Math.Sqrt(spread.WholeFace * spread.WholeFace + looser * looser), spread.Region, spread.Side, [.. model.SideDifference.Factor],
            exam.Given(Joint(model, facts, figures)), [.. facts.SideDifference], [.. model.Laxity.Scores.Select(s => laxity * s)], [.. model.Bone.Scores.Select(s => bone * s)],
            // Answers that come to the same shift are one.
            [.. reduced.GroupBy(s => (s.Delta, s.Spread.Shared)).Select(same => new CommonShift(same.Sum(s => s.Weight), same.Key.Delta + harder, same.Key.Shared + who))],
            product is null ? [] : [new(product, prices.Fillers[product], [.. facts.Regions.Select((r, i) => new RegionCase(Math.Log(r.MedianMl) + level + figures.MeanOf(regions[i]), r.Sides, own[i]))]) { Packages = Numbers(prices.PackagesFor(product, facts.RegionCodes)) }],
            product is null ? null : model.SecondVisit,
            facts.Toxin ? [.. model.Toxin.ByLaxity.Select(row => row.ToArray())] : [.. model.Laxity.Scores.Select(_ => new[] { (0, 1.0) })], prices.ToxinUnit ?? 0,
            facts.Sessions && prices.Session is not null ? [.. model.Sessions.ByLaxity.Select(row => row.ToArray())] : [.. model.Laxity.Scores.Select(_ => new[] { 1.0 })], prices.Session ?? 0,
            prices.Fee ?? 0, prices.TaxBasisPoints, MostUnits(model, product is null ? null : prices.Fillers[product]), model.MostMl)
        {
            SessionPackages = facts.Sessions ? Numbers(prices.PackagesFor(PricePackage.Sessions, [])) : [],
        };
    }

    private static IReadOnlyList<UnitPackage> Numbers(IEnumerable<PricePackage> packages) => [.. packages.Select(p => p.Numbers)];

    // Small units need more of them, or the count would cut the range off.
    private static int MostUnits(PriceModel model, ProductPrice? price) => price is null ? model.MostUnits : (int)Math.Max(model.MostUnits, Math.Min(400, Math.Ceiling(model.MostMl / price.UnitMl)));

    // Laxity and bone are independent only once age and answers are known: where they are not, the table mixes.
    private static double[][] Joint(PriceModel model, PriceFacts facts, ClinicFigures figures)
    {
        var joint = model.Laxity.Scores.Select(_ => new double[model.Bone.Scores.Count]).ToArray();
        foreach (var (age, weight) in facts.Ages)
        {
            var laxity = Mixed(figures, model.Laxity, "laxity", age, facts.WeightChange);
            var bone = Mixed(figures, model.Bone, "bone", age, facts.ToothLoss);
            for (var g = 0; g < laxity.Length; g++)
                for (var b = 0; b < bone.Length; b++) joint[g][b] += weight * laxity[g] * bone[b];
        }

        return joint;
    }

    private static double[] Mixed(ClinicFigures figures, ExamFactor factor, string id, double age, double yes) =>
        [.. figures.Levels(factor, id, age, true).Zip(figures.Levels(factor, id, age, false), (with, without) => yes * with + (1 - yes) * without)];
}
