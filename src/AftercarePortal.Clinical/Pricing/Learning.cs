using System.Globalization;
using AftercarePortal.Clinical.Intake;
using NodaTime;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Learns a clinic's figures from its completed cases. Starts at the published prior every time, so that the order of cases does not matter.</summary>
/// <remarks>Design page "Price as a range", section 3.</remarks>
public static class Learning
{
    /// <summary>Below this many mL an amount is no measurement of the model.</summary>
    public const double LeastMl = 0.05;

    /// <summary>From so many patients the division of the spread is looked for; before, the published one stays.</summary>
    public const int SpreadFrom = 30;

    /// <summary>After so many months a case counts half, because technique drifts. Invented (demo).</summary>
    public const double HalfLifeMonths = 24;

    /// <summary>So many injectors at most have a level of their own; those with least are one together.</summary>
    public const int MostInjectors = 8;

    private static readonly double[] Tries = [0.5, 0.71, 1, 1.41, 2];

    /// <summary>Learns.</summary>
    /// <param name="model">Whose prior to start from.</param>
    /// <param name="cases">In any order.</param>
    /// <param name="asOf">The day cases are aged to.</param>
    public static Learned From(PriceModel model, IReadOnlyList<CompletedCase> cases, LocalDate asOf)
    {
        var leftOut = new List<(string, string)>();
        var used = new List<(CompletedCase Case, PriceFacts Facts, double Weight)>();
        foreach (var group in cases.GroupBy(c => c.Id, StringComparer.Ordinal).OrderBy(g => g.Key, StringComparer.Ordinal))
        {
            var twice = group.Skip(1).Any();
            if (twice) leftOut.Add((group.Key, "the same case was given twice; one of them counts"));
            // The later one, and of one day always the same one: not whichever happened to come first.
            var one = twice ? group.OrderByDescending(c => c.On).ThenBy(AsText, StringComparer.Ordinal).First() : group.First();
            var (facts, reason) = Read(model, one, asOf);
            if (reason is not null) leftOut.Add((one.Id, reason));
            else used.Add((one, facts!, Math.Pow(0.5, Math.Max(0, Period.DaysBetween(one.On, asOf)) / (HalfLifeMonths * 30.4375))));
        }

        if (used.Count == 0) return new(model.ColdStart(), 0, leftOut);
        var injectors = Injectors(used);
        var prior = WithInjectors(model, injectors);
        var counts = Counts(model, used);
        var known = prior with { ExamCounts = counts };
        var regression = new CaseRegression(prior.Mean, prior.Covariance, prior.Nu, prior.S2);
        var places = prior.Parameters.Select((id, i) => (id, i)).ToDictionary(x => x.id, x => x.i);
        foreach (var (one, facts, weight) in used) regression.Add(Block(model, known, places, one, facts, weight));
        var spread = used.Count >= SpreadFrom ? Likeliest(model, regression) : model.Faces;
        var posterior = regression.Under(spread);
        return new(
            new(used.Count, posterior.Nu, posterior.S2, prior.Parameters, posterior.Mean, posterior.Covariance) { Spread = spread, ExamCounts = counts, Injectors = injectors },
            used.Count(u => u.Case.Laxity is null || u.Case.Bone is null), leftOut);
    }

    private static string AsText(CompletedCase one) => string.Join('|',
    [
        $"{one.Product}", $"{one.Laxity}", $"{one.Bone}", $"{one.SideDifference}", $"{one.Injector}", $"{one.FillerHere}",
        .. one.Amounts.Select(a => string.Create(CultureInfo.InvariantCulture, $"{a.Region} {a.Ml:R}")),
        .. one.Answers.ByLinkId.OrderBy(a => a.Key, StringComparer.Ordinal).Select(a => $"{a.Key} {(a.Value is Answer.Given given ? string.Join(',', given.Values) : a.Value.GetType().Name)}"),
    ]);

    // Without a single recorded injector there is nothing to tell apart; else those who did not say are one of their own.
    private static IReadOnlyList<InjectorShare> Injectors(List<(CompletedCase Case, PriceFacts Facts, double Weight)> used)
    {
        if (used.All(u => u.Case.Injector is null)) return [];
        var all = used.Sum(u => u.Weight);
        var ordered = used.GroupBy(u => u.Case.Injector ?? "", StringComparer.Ordinal).Select(g => new InjectorShare(g.Key, g.Sum(u => u.Weight) / all)).OrderByDescending(i => i.Share).ThenBy(i => i.Id, StringComparer.Ordinal).ToList();
        if (ordered.Count <= MostInjectors) return ordered;
        // Who did little is one of "the others", with cases that do not say.
        var kept = ordered.Where(i => i.Id != "").Take(MostInjectors - 1).ToList();
        return [.. kept, new("", 1 - kept.Sum(i => i.Share))];
    }

    private static ClinicFigures WithInjectors(PriceModel model, IReadOnlyList<InjectorShare> injectors)
    {
        var cold = model.ColdStart();
        if (injectors.Count == 0) return cold;
        var n = cold.Parameters.Count;
        var size = n + injectors.Count;
        return cold with
        {
            Parameters = [.. cold.Parameters, .. injectors.Select(i => $"injector:{i.Id}")],
            Mean = [.. cold.Mean, .. injectors.Select(_ => 0.0)],
            Covariance = [.. Enumerable.Range(0, size).Select(i => Enumerable.Range(0, size).Select(j => i < n && j < n ? cold.Covariance[i][j] : i == j ? model.InjectorSd * model.InjectorSd : 0).ToArray())],
        };
    }

    private static (PriceFacts? Facts, string? Reason) Read(PriceModel model, CompletedCase one, LocalDate asOf)
    {
        if (one.On > asOf) return (null, "its day lies ahead");
        bool Level(int? level, int levels) => level is null || (level >= 0 && level < levels);
        if (!Level(one.Laxity, model.Laxity.Scores.Count) || !Level(one.Bone, model.Bone.Scores.Count) || !Level(one.SideDifference, model.SideDifference.Factor.Count))
            return (null, "a level of its examination is not one of the model's");
        if (one.Amounts.Any(a => !double.IsFinite(a.Ml) || a.Ml is < 0 or > 50)) return (null, "an amount is not between 0 and 50 mL");
        if (!Measured(model, one).Any()) return (null, "no region of the model has an amount of 0.05 mL or more");
        if (model.Regions.Any(r => one.Amounts.Count(a => a.Region == r.Code) > r.Sides)) return (null, "a region has more amounts than sides");
        var wishes = new Wishes([.. Measured(model, one).Select(a => a.Region.Code).Distinct()], one.Product, one.Answers.ValueOf("wish-strength"), one.On);
        var facts = PriceFacts.From(model, wishes, one.Answers, one.FillerHere);
        return facts.Missing.Count == 0 ? (facts, null) : (null, string.Join("; ", facts.Missing));
    }

    private static IEnumerable<(RegionPrior Region, int At, double Ml)> Measured(PriceModel model, CompletedCase one) =>
        from amount in one.Amounts
        where amount.Ml >= LeastMl
        from region in model.Regions.Select((r, i) => (Prior: r, At: i))
        where region.Prior.Code == amount.Region
        select (region.Prior, region.At, amount.Ml);

    private static CaseBlock Block(PriceModel model, ClinicFigures known, Dictionary<string, int> places, CompletedCase one, PriceFacts facts, double weight)
    {
        var common = new double[places.Count];
        common[places["level"]] = 1;
        if (places.TryGetValue($"injector:{one.Injector}", out var injector) || places.TryGetValue("injector:", out injector)) common[injector] = 1;
        // An answer left open counts with its expected effect, as an examination that was not recorded does (regression calibration).
        foreach (var (share, effects) in facts.Shifts)
            foreach (var (id, factor) in effects) common[places[id]] += share * factor;
        common[places["laxity"]] = Score(model.Laxity, "laxity", known, facts, facts.WeightChange, one.Laxity);
        common[places["bone"]] = Score(model.Bone, "bone", known, facts, facts.ToothLoss, one.Bone);
        var k = one.SideDifference is { } level ? model.SideDifference.Factor[level] : Math.Sqrt(facts.SideDifference.Zip(model.SideDifference.Factor, (p, f) => p * f * f).Sum());
        var measured = Measured(model, one).ToList();
        return new(
            [.. measured.Select(m => Math.Log(m.Ml) - Math.Log(m.Region.MedianMl))],
            [.. measured.Select(m => { var row = (double[])common.Clone(); row[places[$"region:{m.Region.Code}"]] = 1; return row; })],
            [.. measured.Select(m => m.At)], [.. measured.Select(_ => k)], weight);
    }

    private static double Score(ExamFactor factor, string id, ClinicFigures known, PriceFacts facts, double yes, int? level) =>
        level is { } found ? factor.Scores[found] : facts.Ages.Sum(a => a.Weight * (
            yes * known.Levels(factor, id, a.Age, true).Zip(factor.Scores, (p, s) => p * s).Sum() + (1 - yes) * known.Levels(factor, id, a.Age, false).Zip(factor.Scores, (p, s) => p * s).Sum()));

    private static List<ExamCount> Counts(PriceModel model, List<(CompletedCase Case, PriceFacts Facts, double Weight)> used)
    {
        var counts = new SortedDictionary<(string, double, bool), double[]>();
        foreach (var (one, facts, weight) in used)
        {
            // Only somebody whose age and answer are known belongs to one cell.
            if (facts.Ages is not [var (age, _)]) continue;
            Note("laxity", one.Laxity, facts.WeightChange, model.Laxity.Scores.Count);
            Note("bone", one.Bone, facts.ToothLoss, model.Bone.Scores.Count);

            void Note(string factor, int? level, double yes, int levels)
            {
                if (level is null || (yes is not 0 and not 1)) return;
                var key = (factor, age, yes == 1);
                if (!counts.TryGetValue(key, out var cell)) counts[key] = cell = new double[levels];
                cell[level.Value] += weight;
            }
        }

        return [.. counts.Select(c => new ExamCount(c.Key.Item1, c.Key.Item2, c.Key.Item3, c.Value))];
    }

    private static FaceSpread Likeliest(PriceModel model, CaseRegression regression) =>
        (from u in Tries from w in Tries from e in Tries select new FaceSpread(model.Spread.WholeFace * u, model.Spread.Region * w, model.Spread.Side * e))
        .MaxBy(spread => regression.Under(spread).LogMarginalLikelihood)!;
}
