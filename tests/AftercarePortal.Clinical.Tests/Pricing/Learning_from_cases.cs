using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Learning_from_cases
{
    private static readonly PriceModel Model = PricingContent.Model;

    [Fact]
    public void Without_a_case_the_prior_comes_back_exactly()
    {
        var prior = Model.ColdStart();
        var learned = Learning.From(Model, [], PricingContent.Today);
        Assert.Equal((prior.Cases, prior.Nu, prior.S2), (learned.Figures.Cases, learned.Figures.Nu, learned.Figures.S2));
        Assert.Equal(prior.Mean, learned.Figures.Mean);
        Assert.Null(learned.Figures.Spread);
    }

    [Fact]
    public void The_order_of_cases_changes_not_a_bit()
    {
        var cases = Cases(40, seed: 11);
        var forward = Learning.From(Model, cases, PricingContent.Today).Figures;
        var backward = Learning.From(Model, [.. Enumerable.Reverse(cases)], PricingContent.Today).Figures;
        Assert.Equal(forward.Mean, backward.Mean);
        Assert.Equal((forward.Nu, forward.S2, forward.Spread), (backward.Nu, backward.S2, backward.Spread));
        Assert.Equal(forward.Covariance.SelectMany(r => r), backward.Covariance.SelectMany(r => r));
    }

    [Fact]
    public void The_same_case_twice_counts_once_and_is_named()
    {
        var cases = Cases(5, seed: 12);
        var once = Learning.From(Model, cases, PricingContent.Today);
        var twice = Learning.From(Model, [.. cases, cases[3]], PricingContent.Today);
        Assert.Equal(once.Figures.Mean, twice.Figures.Mean);
        Assert.Equal([cases[3].Id], twice.LeftOut.Select(l => l.Id));
    }

    [Fact]
    public void Which_of_two_that_contradict_each_other_counts_does_not_hang_on_their_order()
    {
        var cases = Cases(5, seed: 12);
        var (later, more, told) = (cases[3] with { On = cases[3].On.PlusDays(1) }, cases[3] with { Amounts = [new("chin", 2)] }, cases[3] with { Answers = Told(("birth-date", "1980-01-01")) });
        foreach (var other in new[] { later, more, told })
            Assert.Equal(Learning.From(Model, [.. cases, other], PricingContent.Today).Figures.Mean, Learning.From(Model, [other, .. cases], PricingContent.Today).Figures.Mean);
        Assert.Equal(
            Learning.From(Model, [.. cases.Where(c => c != cases[3]), later], PricingContent.Today).Figures.Mean, Learning.From(Model, [.. cases, later], PricingContent.Today).Figures.Mean);
    }

    [Fact]
    public void A_case_that_cannot_be_used_is_left_out_with_its_reason()
    {
        var good = Cases(1, seed: 13)[0];
        CompletedCase[] bad =
        [
            good with { Id = "ahead", On = PricingContent.Today.PlusDays(1) }, good with { Id = "level", Laxity = 9 }, good with { Id = "much", Amounts = [new("chin", 51)] },
            good with { Id = "nan", Amounts = [new("chin", double.NaN)] }, good with { Id = "nothing", Amounts = [new("chin", 0.04)] }, good with { Id = "elsewhere", Amounts = [new("lip", 1)] },
            good with { Id = "sides", Amounts = [new("chin", 1), new("chin", 1)] }, good with { Id = "old", Answers = Told(("birth-date", "1801-01-01")) },
        ];
        var learned = Learning.From(Model, [good, .. bad], PricingContent.Today);
        Assert.Equal(1, learned.Figures.Cases);
        Assert.Equal(bad.Select(b => b.Id).Order(StringComparer.Ordinal), learned.LeftOut.Select(l => l.Id));
        Assert.All(learned.LeftOut, l => Assert.NotEmpty(l.Reason));
    }

    [Fact]
    public void Many_cases_find_the_truth_they_were_made_with()
    {
        var cases = Cases(4000, seed: 14, level: 0.3, f: 1.5, old: false);
        var figures = Learning.From(Model, cases, PricingContent.Today).Figures;
        Assert.Equal(0.3, figures.MeanOf("level") + Model.Regions.Take(3).Average(r => figures.MeanOf($"region:{r.Code}")), 0.03);
        Assert.Equal(0.25, figures.MeanOf("male"), 0.04);
        // Only the products of f2 and the three variances can be seen; the whole one side is what counts.
        double Whole(FaceSpread s) => s.WholeFace * s.WholeFace + s.Region * s.Region + s.Side * s.Side;
        Assert.Equal(1.5 * Whole(Model.Faces), figures.S2 * Whole(figures.Spread!), 0.01);
        Assert.True(figures.Reduce([("level", 1)], ["region:jaw-angle", "region:jaw-body"]).Shared < 0.001);
    }

    [Fact]
    public void Under_thirty_cases_the_spread_keeps_its_published_division()
    {
        Assert.Equal(Model.Faces, Learning.From(Model, Cases(29, seed: 15), PricingContent.Today).Figures.Spread);
        Assert.NotNull(Learning.From(Model, Cases(30, seed: 15), PricingContent.Today).Figures.Spread);
    }

    [Fact]
    public void An_old_case_counts_less_than_a_new_one()
    {
        var cases = Cases(20, seed: 16, old: false);
        var now = Learning.From(Model, cases, PricingContent.Today).Figures;
        var later = Learning.From(Model, cases, PricingContent.Today.PlusMonths(24)).Figures;
        Assert.Equal((now.Nu - Model.Spread.LikeCases) / 2, later.Nu - Model.Spread.LikeCases, 0.15);
        Assert.True(later.Covariance[0][0] > now.Covariance[0][0]);
    }

    [Fact]
    public void What_examinations_found_moves_what_the_next_one_may_find()
    {
        var cases = Cases(60, seed: 17).Select(c => c with { Laxity = 3, Bone = null }).ToList();
        var learned = Learning.From(Model, cases, PricingContent.Today);
        Assert.Equal(60, learned.WithoutExam);
        var middle = learned.Figures.ExamCounts.First(c => c is { Factor: "laxity", Yes: false });
        var levels = learned.Figures.Levels(Model.Laxity, "laxity", middle.Age, false);
        Assert.True(levels[3] > Model.Laxity.Levels(middle.Age, false)[3]);
        Assert.Equal(1, levels.Sum(), 1e-12);
    }

    [Fact]
    public void Own_cases_of_an_average_clinic_narrow_the_range_and_are_counted()
    {
        // By the tenth of a millilitre: whole syringes would hide it.
        var prices = PricingContent.Prices with { Fillers = new Dictionary<string, ProductPrice> { ["caha-filler"] = new(0.1, 0, 4000, 4000) } };
        var cold = PricingContent.Range(PricingContent.Nora(), prices);
        var learned = PricingContent.Range(PricingContent.Nora(), prices, Learning.From(Model, Cases(120, seed: 18, old: false), PricingContent.Today).Figures);
        Assert.Equal(120, learned.Cases);
        Assert.True((double)learned.Quantile(0.9) / learned.Quantile(0.1) < (double)cold.Quantile(0.9) / cold.Quantile(0.1));
        Assert.True((learned.Reasons.FirstOrDefault(r => r.Id == "clinicRecords")?.Share ?? 0) < cold.Reasons.Single(r => r.Id == "clinicRecords").Share);
    }

    [Fact]
    public void A_parameter_that_is_known_stays_what_it_is()
    {
        var regression = new CaseRegression([0.5, 0], [[0, 0], [0, 1]], 4, 1);
        regression.Add(new([2, 2.2], [[1, 1], [1, 1]], [0, 0], [1, 1]));
        var posterior = regression.Under(new(0.2, 0.15, 0.1));
        Assert.Equal(0.5, posterior.Mean[0]);
        Assert.Equal(0, posterior.Covariance[0][0]);
        Assert.True(posterior.Mean[1] > 1);
    }

    internal static Answers Told(params (string LinkId, string Value)[] given) => new(given.ToDictionary(g => g.LinkId, Answer (g) => new Answer.Given([g.Value])));

    /// <summary>Invented clinics: the model with its own numbers, a fixed level, a fixed spread. Deterministic for one seed.</summary>
    internal static List<CompletedCase> Cases(int count, int seed, double level = 0.1, double f = 1, bool old = true)
    {
        var random = new Random(seed);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        var spread = Model.Faces;
        return [.. Enumerable.Range(0, count).Select(i =>
        {
            var man = random.NextDouble() < 0.3;
            var laxity = Pick(Model.Laxity.Levels(45, false));
            var bone = Pick(Model.Bone.Levels(45, false));
            var side = Pick(Model.SideDifference.ByAnswer["slight"]);
            var u = Normal() * spread.WholeFace * Math.Sqrt(f);
            var amounts = new List<CompletedCase.Amount>();
            foreach (var region in Model.Regions.Take(3))
            {
                var w = Normal() * spread.Region * Math.Sqrt(f);
                for (var s = 0; s < region.Sides; s++)
                    amounts.Add(new(region.Code, region.MedianMl * Math.Exp(level + (man ? 0.25 : 0) + Model.Laxity.Scores[laxity] + Model.Bone.Scores[bone] + u + w + Normal() * spread.Side * Math.Sqrt(f) * Model.SideDifference.Factor[side])));
            }

            return new CompletedCase(
                $"case-{i:0000}", old ? PricingContent.Today.PlusDays(-random.Next(700)) : PricingContent.Today, "caha-filler",
                Told(("birth-date", $"{1979 + random.Next(4)}-02-01"), ("sex", man ? "male" : "female"), ("weight-change", "no"), ("tooth-loss", "no"), ("earlier-filler", "no"), ("wish-strength", "clear"), ("side-difference", "slight")),
                amounts, laxity, bone, side);
        })];

        int Pick(IReadOnlyList<double> p)
        {
            var x = random.NextDouble();
            for (var j = 0; j < p.Count; j++)
                if ((x -= p[j]) < 0) return j;
            return p.Count - 1;
        }
    }
}
