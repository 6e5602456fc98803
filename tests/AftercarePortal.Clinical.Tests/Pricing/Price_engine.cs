using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Testing;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Price_engine
{
    private static readonly PriceCase Jaw = new(
        8, 1, 0.2, 0.15, 0.1, [1, 2, 3.5], [[0.2, 0.1], [0.2, 0.1], [0.2, 0.2]], [0.42, 0.40, 0.18], [-0.1, 0.1, 0.25], [0, 0.2], [new(0.6, 0, 0.04), new(0.4, 0.25, 0.08)],
        [new("caha-filler", new(1.5, 0.1, 60000, 55000), [new(-0.5, 2, 0.0225), new(-0.9, 2, 0.01)])], new(0.35, 0.3, 0.4),
        [[(0, 1)], [(26, 0.5), (31, 0.5)], [(31, 0.4), (36, 0.6)]], 1200, [[1, 0], [0.6, 0.4], [0.3, 0.7]], 30000, 5000, 825, 30, 40);

    [Fact]
    public void Knowing_more_never_raises_the_expected_interval_score()
    {
        var scores = Mixture(Jaw).Scores();
        foreach (var part in new[] { "laxity", "bone", "asymmetry" })
        {
            Assert.True(scores[part] <= scores["now"] + 1e-6, part);
            Assert.True(scores["exam"] <= scores[part] + 1e-6, part);
        }

        Assert.True(scores["examAndPlan"] <= scores["exam"] + 1e-6);
    }

    [Fact]
    public void Shares_add_to_1_and_what_is_known_has_none()
    {
        var shares = Mixture(Jaw).Shares();
        Assert.Equal(1, shares.Values.Sum(), 1e-9);
        Assert.All(shares.Values, s => Assert.True(s >= -1e-9));
        Assert.True(shares["answersLeftOpen"] > 0.01);
        var known = Mixture(Jaw with { LaxityBone = [[0, 0], [0, 1], [0, 0]], Shifts = [new(1, 0, 0.04)] }).Shares();
        Assert.All(["laxity", "bone", "answersLeftOpen", "product"], id => Assert.Equal(0, known[id], 1e-9));
    }

    [Fact]
    public void One_of_two_products_lies_between_them_and_the_choice_is_a_cause()
    {
        var other = Jaw with { Products = [new("ha-filler", new(1, 0.1, 70000, 70000), Jaw.Products[0].Regions)] };
        PriceEngine one = new(Jaw), two = new(other, one);
        var mixture = new PriceMixture([(0.5, one), (0.5, two)]);
        Assert.Equal((one.Total().Mean + two.Total().Mean) / 2, mixture.Total.Mean, 1e-3);
        Assert.True(mixture.Shares()["product"] > 0.01);
        Assert.Equal(1, mixture.Shares().Values.Sum(), 1e-9);
        // Volumes taken over from the other product are those it would work out itself.
        Assert.Equal(new PriceEngine(other).Total().Atoms, two.Total().Atoms);
    }

    [Fact]
    public void Two_sides_are_two_places_that_share_their_region()
    {
        // With no spread of a side of its own, and none of the region, both are one number times two.
        var pair = Jaw with { TauW = 0, TauE = 0, Products = [Jaw.Products[0] with { Regions = [new(-0.5, 2, 0)] }] };
        var single = pair with { Products = [Jaw.Products[0] with { Regions = [new(-0.5 + Math.Log(2), 1, 0)] }] };
        Assert.All(new PriceEngine(pair).FirstVisitUnits(0).Zip(new PriceEngine(single).FirstVisitUnits(0)), u => Assert.Equal(u.First, u.Second, 2e-4));
        // Without anything shared, a pair is two places of its own.
        var apart = Jaw with { TauW = 0, TauE = 0.2, Products = [Jaw.Products[0] with { Regions = [new(-0.5, 2, 0)] }] };
        var places = apart with { Products = [Jaw.Products[0] with { Regions = [new(-0.5, 1, 0), new(-0.5, 1, 0)] }] };
        Assert.All(new PriceEngine(apart).FirstVisitUnits(0).Zip(new PriceEngine(places).FirstVisitUnits(0)), u => Assert.Equal(u.First, u.Second, 1e-4));
    }

    [Fact]
    public void The_chance_of_going_above_an_amount_is_that_of_needing_more_units_of_it()
    {
        var engine = new PriceEngine(Jaw with { Products = [Jaw.Products[0] with { Price = new(4, 0, 1, 1) }] });
        Assert.Equal(engine.FirstVisitUnits(0).Skip(2).Sum(), engine.ChanceAbove(4), 5e-4);
    }

    [Fact]
    public void More_spread_never_lowers_the_high_end_nor_raises_the_low_one()
    {
        var mean = new PriceEngine(Jaw).Total();
        var wide = new PriceEngine(Jaw with { TauU = 0.6 }).Total();
        Assert.True(wide.Quantile(0.99) > mean.Quantile(0.99) && wide.Quantile(0.01) <= mean.Quantile(0.01));
    }

    [Fact]
    [Source("Ishigami and Homma 1990, a = 7, b = 0.1; Sobol indices in closed form, Shapley effect = own part plus equal share of each interaction (Owen 2014)", at: "0.435747, 0.442411, 0.121842; variance 13.844588")]
    public void Shares_of_the_Ishigami_function_are_the_published_ones()
    {
        // Midpoints: exact for the periodic parts, error of the order 1/n^2 for the fourth power.
        const int n = 100;
        double[] x = [.. Enumerable.Range(0, n).Select(i => Math.PI * ((2 * i + 1.0) / n - 1))], probability = [.. Enumerable.Repeat(1.0 / (n * n * n), n * n * n)];
        double[] values = [.. from a in x from b in x from c in x select Math.Sin(a) + 7 * Math.Pow(Math.Sin(b), 2) + 0.1 * Math.Pow(c, 4) * Math.Sin(a)];
        var shares = VarianceShares.Of([n, n, n], probability, values);
        Assert.Equal(13.844588, shares.Sum(), 0.01);
        Assert.All(shares.Zip([0.435747, 0.442411, 0.121842]), s => Assert.Equal(s.Second, s.First / shares.Sum(), 5e-4));
    }

    private static PriceMixture Mixture(PriceCase price) => new([(1, new PriceEngine(price))]);
}
