using System.Text.Json;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Web.ContentFiles;
using Xunit;
using static AftercarePortal.Clinical.Tests.Pricing.PricingContent;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class Packages_in_a_range
{
    private static readonly double[] Levels = [0.01, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99];

    private static readonly PriceList WithPackages =
        PriceListReader.Read(CandidacyContent.Load("pricing", "wrenfold-prices.v2.yaml"), [], Model) ?? throw new InvalidOperationException("The list with packages has faults.");

    private static readonly PriceList Singly = WithPackages with { Packages = [] };

    private static readonly Dictionary<string, Dictionary<string, string[]>> Everybody = new()
    {
        ["Nora, all answered"] = Nora(),
        ["A strong change of everything, nothing else known"] =
            new() { ["wish-regions"] = ["jaw-angle", "jaw-body", "pre-jowl", "chin", "labiomental-fold", "neck-bands"], ["wish-product"] = ["unsure"], ["wish-strength"] = ["strong"] },
        ["Jaw and chin"] = Nora().With("wish-regions", "jaw-angle", "jaw-body", "pre-jowl", "chin"),
        ["The neck alone"] = Nora().With("wish-regions", "neck-bands"),
    };

    public static TheoryData<string> People => [.. Everybody.Keys];

    private static PricePackage Package(int units, long price, string of = "caha-filler", params string[] regions) =>
        new($"{of}-{units}", new Dictionary<string, string> { ["en"] = $"{units} of {of}", ["es"] = $"{units} de {of}" }, of, units, price, regions);

    [Theory]
    [MemberData(nameof(People))]
    public void Raise_no_quantile_and_leave_the_range_whole(string who)
    {
        PriceRange with = Range(Everybody[who], WithPackages), without = Range(Everybody[who], Singly);
        Assert.All(Levels, level => Assert.True(with.Quantile(level) <= without.Quantile(level), $"{level}"));
        Assert.True(with.Chances.Sum(c => c.Total * c.Probability) < without.Chances.Sum(c => c.Total * c.Probability) - 1);
        Assert.Equal(1, with.Chances.Sum(c => c.Probability), 1e-9);
        Assert.True(with.Central.From.Minor <= with.Quantile(0.1) && with.Central.To.Minor >= with.Quantile(0.9) && with.AtMost.Minor >= with.Central.To.Minor && with.AtMost.Minor >= with.Quantile(0.99));
        Assert.InRange(with.MassInside, 0.8m, 1m);
        Assert.Equal(with.Quantile(0.5), with.Lines.Sum(l => l.Middle.Minor));
        Assert.Equal(1m, with.Reasons.Sum(r => r.Share));
        Assert.All(with.Packages, p => Assert.InRange(p.Chance, 0.005, 1));
    }

    [Theory]
    [MemberData(nameof(People))]
    public void A_list_without_any_and_one_whose_packages_nobody_needs_come_to_the_same_bits(string who)
    {
        PriceList v1 = Prices with { Version = Singly.Version }, unused = Singly with { Packages = [Package(100, 5_000_000)] };
        Assert.Equal(Json(Range(Everybody[who], v1)), Json(Range(Everybody[who], Singly)));
        Assert.Equal(Json(Range(Everybody[who], Singly)), Json(Range(Everybody[who], unused)));
    }

    [Theory]
    [InlineData("chin")]
    [InlineData("labiomental-fold")]
    [InlineData("neck-bands")]
    public void One_more_part_lowers_no_quantile_also_where_it_ends_a_package(string part)
    {
        PriceRange now = Range(Nora(), WithPackages), more = Range(Nora().With("wish-regions", [.. Nora()["wish-regions"], part]), WithPackages);
        Assert.All(Levels, level => Assert.True(more.Quantile(level) >= now.Quantile(level), $"{level}"));
    }

    [Fact]
    public void Count_only_where_all_of_the_product_goes_to_their_regions()
    {
        Assert.Contains(Range(Everybody["Jaw and chin"], WithPackages).Packages, p => p.Id == "lower-face-three");
        Assert.DoesNotContain(Range(Nora().With("wish-regions", "jaw-angle", "jaw-body", "labiomental-fold"), WithPackages).Packages, p => p.Id == "lower-face-three");
    }

    [Fact]
    public void Every_total_is_the_cost_of_its_count_with_the_probability_of_that_count()
    {
        var once = Model with { SecondVisit = Model.SecondVisit with { Probability = 0 } };
        var list = Singly with { Session = null, TaxBasisPoints = 825, Packages = [Package(3, 165001), Package(2, 115000)] };
        var answers = new Answers(Nora().ToDictionary(g => g.Key, g => (Answer)new Answer.Given(g.Value)));
        PriceRange Of(PriceList prices) => Assert.IsType<PriceOutcome.Known>(once.RangeFor(Wishes.From(answers, Today), answers, prices, once.ColdStart())).Range;
        // One unit of money a syringe tells the counts; what they cost by hand: 1, 2 (115,000), 3 (165,001), 4 (225,001: three and one), 5 (280,001), 6 (330,002).
        var counts = Of(list with { Packages = [], Fee = 0, TaxBasisPoints = 0, Fillers = new Dictionary<string, ProductPrice> { ["caha-filler"] = new(1.5, 0.1, 1, 1) } }).Chances;
        long[] byHand = [0, 60000, 115000, 165001, 225001, 280001, 330002];
        var totals = Of(list).Chances;
        for (var n = 1; n <= 6; n++)
            Assert.Equal(counts.Single(c => c.Total == n).Probability, totals.Single(c => c.Total == (byHand[n] * 10825 + 5000) / 10000 + (5000 * 10825 + 5000) / 10000).Probability, 1e-15);
        Assert.Equal(counts.Where(c => c.Total >= 3).Sum(c => c.Probability), Of(list with { Packages = [Package(3, 165001)] }).Packages.Single().Chance, 1e-6);
    }

    [Fact]
    public void A_second_visit_is_a_visit_of_its_own_so_nothing_is_paid_ahead()
    {
        var twice = Model with { SecondVisit = Model.SecondVisit with { Probability = 1 } };
        var answers = new Answers(Nora().ToDictionary(g => g.Key, g => (Answer)new Answer.Given(g.Value)));
        var list = Singly with { Session = null, Fee = 0, Packages = [Package(2, 110000)] };
        var cheapest = Assert.IsType<PriceOutcome.Known>(twice.RangeFor(Wishes.From(answers, Today), answers, list, twice.ColdStart())).Range.Chances[0];
        // One syringe at each visit: two of the course, and no package of two.
        Assert.Equal(120000, cheapest.Total);
    }

    [Fact]
    public void Change_nothing_of_what_is_expected_to_be_used()
    {
        var answers = new Answers(Nora().ToDictionary(g => g.Key, g => (Answer)new Answer.Given(g.Value)));
        var (with, without) = (Range(Nora(), WithPackages), Range(Nora(), Singly));
        Assert.Equal(without.Amount!.Ml, with.Amount!.Ml);
        Assert.Equal(without.Lines.Single(l => l.Id == "filler").Says, with.Lines.Single(l => l.Id == "filler").Says);
    }

    [Fact]
    public void Are_told_as_a_price_for_what_is_needed_in_both_languages()
    {
        var range = Range(Nora(), WithPackages with { TaxBasisPoints = 1000 });
        var package = range.Packages.Single(p => p.Id == "lower-face-three");
        var says = Assert.Single(range.Notes, n => n.Contains(package.Names["en"], StringComparison.Ordinal));
        Assert.Equal(new Money(181500, "USD"), package.Price);
        Assert.Contains($"in about {Math.Round(100 * package.Chance)} in 100 treatments", says, StringComparison.Ordinal);
        Assert.Contains("1,815 USD", says, StringComparison.Ordinal);
        Assert.Contains("never a reason to use more", says, StringComparison.Ordinal);
        Assert.DoesNotMatch("(?i)sav(e|ing)|discount|free|offer|only today", says);
        var spanish = range.In(Model.Words, Model.Translations["es"]);
        var dice = Assert.Single(spanish.Notes, n => n.Contains(package.Names["es"], StringComparison.Ordinal));
        Assert.Contains("1,815 USD", dice, StringComparison.Ordinal);
        Assert.Contains("nunca un motivo para usar más", dice, StringComparison.Ordinal);
        Assert.DoesNotContain('{', dice);
    }

    [Fact]
    public void Are_kept_with_the_range_as_they_were()
    {
        var kept = Json(Range(Everybody["A strong change of everything, nothing else known"], WithPackages));
        var again = JsonSerializer.Deserialize<PriceRange>(kept)!;
        Assert.Equal(kept, Json(again));
        Assert.Equal(["lower-face-three", "skin-three"], Range(Nora(), WithPackages).Packages.Select(p => p.Id).Order());
        // A range from before there were packages has none.
        Assert.Empty(JsonSerializer.Deserialize<PriceRange>(kept.Replace("\"Packages\":", "\"Before\":", StringComparison.Ordinal))!.Packages);
    }

    [Fact]
    public void Work_in_a_currency_without_minor_units()
    {
        var yen = Singly with { Currency = "JPY", Session = null, Fee = 0, TaxBasisPoints = 1000, Fillers = new Dictionary<string, ProductPrice> { ["caha-filler"] = new(1.5, 0.1, 90000, 90000) }, Packages = [Package(3, 249_995)] };
        var range = Range(Nora(), yen);
        Assert.Contains(range.Chances, c => c.Total == 274_995);          // 249,995 and its tax of 24,999.5, half up
        Assert.Equal("274,995 JPY", range.Packages.Single().Price.ToString());
    }

    [Fact]
    public void Bases_kept_from_other_prices_change_no_bit()
    {
        var bases = new PriceBases();
        var answers = new Answers(Nora().ToDictionary(g => g.Key, g => (Answer)new Answer.Given(g.Value)));
        PriceRange Of(PriceList prices, PriceBases? kept) => Assert.IsType<PriceOutcome.Known>(Model.RangeFor(Wishes.From(answers, Today), answers, prices, Model.ColdStart(), null, new() { Bases = kept })).Range;
        foreach (var list in new[] { Singly, WithPackages, WithPackages with { Packages = [Package(3, 150000), Package(5, 240000)] }, Singly }) Assert.Equal(Json(Of(list, null)), Json(Of(list, bases)));
    }

    [Theory]
    [InlineData("units: 3\n    price: 165000", "units: 0\n    price: 165000", "/packages/0/units")]
    [InlineData("units: 3\n    price: 165000", "units: 1\n    price: 50000", "/packages/0/units")]
    [InlineData("price: 165000", "price: 0", "/packages/0/price")]
    [InlineData("price: 165000", "price: 1650.5", "/packages/0/price")]
    [InlineData("price: 165000", "price: 180000", "/packages/0/price")]
    [InlineData("price: 165000", "price: 120000", "/packages/0/price")]
    [InlineData("of: caha-filler", "of: plla", "/packages/0/of")]
    [InlineData("of: session", "of: sessions", "/packages/1/of")]
    [InlineData("pre-jowl, chin]", "pre-jowl, knee]", "/packages/0/regions/3")]
    [InlineData("price: 81000", "price: 81000\n    regions: [chin]", "/packages/1/regions")]
    [InlineData("id: skin-three", "id: lower-face-three", "/packages/1/id")]
    [InlineData("price: 81000", "prize: 81000", "/packages/1/prize")]
    [InlineData(", es: tres sesiones para la piel }", " }", "/packages/1/name/es")]
    [InlineData("session: 30000\nfee", "fee", "/packages/1/of")]
    [InlineData("packages:\n  - id: lower-face-three", "packages:\n  - lower-face-three\n  - id: lower-face-three", "/packages/0")]
    public void A_wrong_package_is_reported_with_its_place(string from, string to, string pointer)
    {
        var text = File.ReadAllText(Path.Combine(CandidacyContent.Folder, "pricing", "wrenfold-prices.v2.yaml"));
        Assert.Contains(from, text, StringComparison.Ordinal);
        var errors = new List<ContentError>();
        Assert.Null(PriceListReader.Read(CandidacyContent.FromText("wrenfold-prices.v2.yaml", text.Replace(from, to, StringComparison.Ordinal)), errors, Model));
        Assert.Contains(errors, e => e.Path == pointer && e.Line > 1);
    }

    [Theory]
    // Three for the price of two: the third would be free.
    [InlineData("no more than 2", 3, 120000, 0, 0)]
    [InlineData("no more than 2", 3, 119999, 0, 0)]
    // Beside a package of two for 110,000, three for 110,000 give the third away, though two alone cost more.
    [InlineData("no more than 2", 3, 110000, 2, 110000)]
    [InlineData("never be charged", 4, 225000, 2, 110000)]
    [InlineData("never be charged", 3, 180000, 0, 0)]
    public void A_package_that_would_speak_for_more_than_is_needed_or_is_never_charged_is_refused(string reason, int units, long price, int otherUnits, long otherPrice)
    {
        var list = Singly with { Packages = otherUnits == 0 ? [Package(units, price)] : [Package(units, price), Package(otherUnits, otherPrice)] };
        Assert.Contains(PackagePolicy.Faults(list), f => f.Package == 0 && f.Field == "price" && f.Reason.Contains(reason, StringComparison.Ordinal));
    }

    [Fact]
    public void Where_every_package_is_allowed_one_more_unit_always_costs_something()
    {
        var random = new Random(7);
        var allowed = 0;
        for (var i = 0; i < 3000; i++)
        {
            var list = Singly with { Packages = [.. Enumerable.Range(0, random.Next(1, 4)).Select(k => Package(random.Next(2, 7), random.Next(100, 400) * 1000L, "ha-filler", random.Next(2) == 0 ? [] : ["chin"]) with { Id = $"{k}" })] };
            if (PackagePolicy.Faults(list).Count > 0) continue;
            allowed++;
            foreach (var region in new[] { "chin", "jaw-body" })
            {
                var costs = new UnitCosts(45000, 42000, [.. list.PackagesFor("ha-filler", [region]).Select(p => p.Numbers)], 40);
                for (var n = 1; n <= 40; n++) Assert.True(costs[n] > costs[n - 1]);
            }
        }

        Assert.InRange(allowed, 50, 2950);
    }

    [Fact]
    public void Packages_with_impossible_numbers_give_a_reason_and_no_range()
    {
        Assert.Contains("Units of a package of caha-filler", Refused(Nora(), Singly with { Packages = [Package(0, 1)] })[0], StringComparison.Ordinal);
        Assert.Contains("Price of a package of caha-filler", Refused(Nora(), Singly with { Packages = [Package(3, -1)] })[0], StringComparison.Ordinal);
        Assert.Contains("Units of a package of sessions", Refused(Nora(), Singly with { Packages = [Package(0, 1, "session")] })[0], StringComparison.Ordinal);
    }

    [Fact]
    public void What_was_used_is_charged_with_the_packages_of_the_quote()
    {
        UsedCost.Visit Visit(double ml, params string[] regions) => new([new("caha-filler", new Dictionary<string, double> { ["Demo CaHA 1.5 mL"] = ml }, 0, regions)], 0);
        long? CameTo(int sessions, params UsedCost.Visit[] visits) => UsedCost.Of(WithPackages, visits, sessions)?.Minor;
        Assert.Equal(5000 + 165000 + 81000, CameTo(3, Visit(4.5, "jaw-body", "chin")));
        // Part of it went elsewhere; and two visits are no package.
        Assert.Equal(5000 + 180000, CameTo(0, Visit(4.5, "jaw-body", "labiomental-fold")));
        Assert.Equal(5000 + 180000, CameTo(0, Visit(3, "jaw-body"), Visit(1.5, "jaw-body")));
        Assert.Equal(5000 + 60000 + 81000 + 30000, CameTo(4, Visit(1, "chin")));
    }

    private static string Json(PriceRange range) => JsonSerializer.Serialize(range);
}
