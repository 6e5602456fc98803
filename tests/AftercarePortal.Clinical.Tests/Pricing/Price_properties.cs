using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using Xunit;
using static AftercarePortal.Clinical.Tests.Pricing.PricingContent;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Price_properties
{
    private static readonly double[] Levels = [0.01, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99];

    public static TheoryData<int> Seeds => [1, 2, 3, 4, 5, 6];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Whatever_adds_to_a_bill_lowers_no_quantile(int seed)
    {
        var price = Invented(seed);
        var now = new PriceEngine(price).Total();
        var product = price.Products[0];
        PriceCase With(ProductCase other) => price with { Products = [other] };
        PriceCase[] more =
        [
            With(product with { Regions = [.. product.Regions, new(-1, 2, 0.01)] }), With(product with { Regions = [.. product.Regions.Select(r => r with { LogMedian = r.LogMedian + 0.1 })] }),
            With(product with { Price = product.Price with { First = product.Price.First + 777 } }), With(product with { Price = product.Price with { Next = product.Price.Next + 777 } }),
            With(product with { Price = product.Price with { ToleranceMl = 0 } }), price with { Fee = price.Fee + 1 }, price with { TaxBasisPoints = price.TaxBasisPoints + 100 },
            price with { SecondVisit = new(Math.Min(1, (price.SecondVisit?.Probability ?? 0) + 0.2), 0.3, 0.4) }, price with { Products = [product, new("other", new(1, 0.1, 30000, 30000), [new(-0.5, 1, 0.02)])] },
        ];
        Assert.All(more, dearer => NotLower(now, new PriceEngine(dearer).Total()));
        // A region that did not count at all would lower nothing either.
        Assert.True(new PriceEngine(more[0]).Total().Mean > 1.002 * now.Mean);
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void More_uncertainty_never_narrows_the_amount(int seed)
    {
        var price = Invented(seed);
        var now = Width(price);
        PriceCase[] wider =
        [
            price with { TauU = price.TauU + 0.1 }, price with { Shifts = [.. price.Shifts.Select(s => s with { SharedVariance = s.SharedVariance + 0.05 })] }, price with { S2 = price.S2 * 1.5 },
            price with { Products = [price.Products[0] with { Regions = [.. price.Products[0].Regions.Select(r => r with { Variance = r.Variance + 0.1 })] }] }, price with { TauW = price.TauW + 0.1 },
        ];
        Assert.All(wider, w => Assert.True(Width(w) >= now - 1e-3));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void The_order_of_regions_and_products_changes_nothing(int seed)
    {
        var price = Invented(seed);
        var two = price with { Products = [price.Products[0], new("other", new(1, 0.1, 30000, 28000), [new(-0.5, 1, 0.02), new(-0.9, 2, 0.01)])] };
        var turned = two with { Products = [.. two.Products.Reverse().Select(p => p with { Regions = [.. p.Regions.Reverse()] })] };
        var (one, other) = (new PriceEngine(two).Total(), new PriceEngine(turned).Total());
        Assert.Equal(one.Atoms.Select(a => a.Total), other.Atoms.Select(a => a.Total));
        Assert.All(one.Atoms.Zip(other.Atoms), a => Assert.Equal(a.First.Probability, a.Second.Probability, 1e-12));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Everything_adds_up_and_what_is_examined_has_no_share(int seed)
    {
        var price = Invented(seed);
        var mixture = new PriceMixture([(1, new PriceEngine(price))]);
        Assert.Equal(1, mixture.Total.Atoms.Sum(a => a.Probability), 1e-12);
        var shares = mixture.Shares();
        Assert.Equal(1, shares.Values.Sum(), 1e-9);
        Assert.All(shares, s => Assert.True(s.Value >= -1e-9, s.Key));
        var known = price with { LaxityBone = [.. price.LaxityBone.Select((row, g) => row.Select((_, b) => g == 1 && b == 0 ? 1.0 : 0).ToArray())], SideDifference = [1, 0, 0] };
        var left = new PriceMixture([(1, new PriceEngine(known))]).Shares();
        Assert.All(["laxity", "bone", "asymmetry"], id => Assert.Equal(0, left[id], 1e-9));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Millilitres_and_units_are_one_distribution(int seed)
    {
        var price = Invented(seed);
        var engine = new PriceEngine(price);
        var (ml, units) = (engine.FirstVisitMl(), engine.FirstVisitUnits(0));
        double below = 0;
        for (var n = 1; n < 12; n++)
        {
            below += units[n];
            if (below is > 0.02 and < 0.98) Assert.Equal(below, ml.Below(n * price.Products[0].Price.UnitMl + price.Products[0].Price.ToleranceMl), 1e-3);
        }

        Assert.Equal(ml.Ml.Order(), ml.Ml);
    }

    [Fact]
    public void What_is_kept_from_earlier_ranges_changes_no_bit()
    {
        var bases = new PriceBases();
        foreach (var given in new[] { Nora(), Nora().With("birth-date", "1955-01-01"), Nora().With("wish-product", "unsure"), Nora().With("wish-regions", "neck-bands"), Nora() })
        {
            var plain = System.Text.Json.JsonSerializer.Serialize(Ask(given, new()));
            Assert.Equal(plain, System.Text.Json.JsonSerializer.Serialize(Ask(given, new() { Bases = bases })));
            Assert.Equal(plain, System.Text.Json.JsonSerializer.Serialize(Ask(given, new() { Bases = bases })));
        }

        Assert.InRange(bases.Count, 3, 256);
    }

    [Fact]
    public void A_larger_promise_and_a_wider_past_hold_the_range_they_had()
    {
        PriceRange eight = Ask(Nora(), new()), nine = Ask(Nora(), new() { Calibration = Calibration.Of([], 0.9) });
        var widened = Ask(Nora(), new() { Calibration = Calibration.Of([.. Enumerable.Repeat(0.47, 40)]) });
        foreach (var wider in new[] { nine, widened })
        {
            Assert.True(wider.Central.From.Minor <= eight.Central.From.Minor && wider.Central.To.Minor >= eight.Central.To.Minor);
            Assert.True(wider.AtMost.Minor >= wider.Central.To.Minor);
        }

        Assert.True((double)nine.MassInside >= 0.9 && (double)widened.MassInside >= 0.94);
        Assert.Equal((0, 40), (eight.WidenedBy, widened.WidenedBy));
        Assert.Contains(Model.Words.Notes["widened"], widened.Notes);
        Assert.DoesNotContain(Model.Words.Notes["widened"], nine.Notes);
    }

    [Fact]
    public void The_examination_has_a_value_in_money_and_in_percent()
    {
        var exam = Ask(Nora(), new()).Narrowings.Single(n => n.Id == "exam");
        Assert.True(exam.Percent > 0 && exam.Width is { Minor: > 0, Currency: "USD" });
    }

    private static PriceRange Ask(Dictionary<string, string[]> given, RangeOptions options)
    {
        var answers = Learning_from_cases.Told([.. given.Where(g => g.Key != "wish-regions").Select(g => (g.Key, g.Value[0]))]);
        var product = given["wish-product"][0] is "unsure" ? null : given["wish-product"][0];
        return Assert.IsType<PriceOutcome.Known>(Model.RangeFor(new(given["wish-regions"], product, given["wish-strength"][0], Today), answers, Prices, Model.ColdStart(), null, options)).Range;
    }

    private static double Width(PriceCase price) => new PriceEngine(price).FirstVisitMl() is var ml ? Math.Log(ml.At(0.9) / ml.At(0.1)) : 0;

    private static void NotLower(PriceDistribution before, PriceDistribution after) => Assert.All(Levels, level => Assert.True(after.Quantile(level) >= before.Quantile(level), $"{level}"));

    // Any case the model could make, and some it would not.
    private static PriceCase Invented(int seed)
    {
        var random = new Random(seed);
        double Between(double low, double high) => low + (high - low) * random.NextDouble();
        double[] Chances(int n)
        {
            double[] p = [.. Enumerable.Range(0, n).Select(_ => Between(0.05, 1))];
            return [.. p.Select(x => x / p.Sum())];
        }

        double[] g = Chances(3), b = Chances(2);
        double[][] joint = [.. g.Select(x => b.Select(y => x * y).ToArray())];
        joint[2][1] = 1 - joint.SelectMany(r => r).Take(5).Sum();
        var side = Chances(3);
        side[2] = 1 - side[0] - side[1];
        return new(
            random.Next(2) == 0 ? null : Between(4, 60), Between(0.6, 1.4), Between(0, 0.4), Between(0, 0.3), Between(0.02, 0.2), [1, 2, 3.5], joint, side, [-0.1, 0.1, 0.25], [0, 0.2],
            [new(0.25, -0.2, Between(0, 0.1)), new(0.75, 0.1, Between(0.01, 0.1))],
            [new("one", new(0.5 + 0.25 * random.Next(5), 0.1, random.Next(20000, 90000), random.Next(15000, 90000)),
                [.. Enumerable.Range(0, random.Next(1, 4)).Select(_ => new RegionCase(Between(-1.2, 0.3), random.Next(1, 3), Between(0, 0.05)))])],
            random.Next(2) == 0 ? null : new(0.3, 0.3, 0.4), [[(0, 1)], [(26, 0.5), (31, 0.5)], [(31, 0.4), (36, 0.6)]], random.Next(500, 2000), [[1, 0], [0.6, 0.4], [0.3, 0.7]], random.Next(10000, 40000),
            random.Next(0, 10000), random.Next(0, 2500), 60, 40);
    }
}
