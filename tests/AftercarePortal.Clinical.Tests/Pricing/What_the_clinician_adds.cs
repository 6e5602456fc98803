using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Testing;
using Xunit;
using static AftercarePortal.Clinical.Tests.Pricing.PricingContent;

namespace AftercarePortal.Clinical.Tests.Pricing;

public sealed class What_the_clinician_adds
{
    // Billed by the tenth of a millilitre: whole syringes would hide what is looked for.
    private static readonly PriceList Fine = Prices with { Session = null, Fillers = new Dictionary<string, ProductPrice> { ["caha-filler"] = new(0.1, 0, 4000, 4000) } };

    [Fact]
    public void Resistance_that_is_expected_makes_the_range_wider_and_says_so()
    {
        PriceRange none = Ask(new(null, null, null) { Resistance = 0 }), some = Ask(new(null, null, null) { Resistance = 1 }), much = Ask(new(null, null, null) { Resistance = 2 });
        Assert.True(Ratio(none) < Ratio(some) && Ratio(some) < Ratio(much));
        Assert.Empty(none.Notes.Intersect(Model.Words.Notes.Values));
        Assert.Contains(Model.Words.Notes["resistance"], much.Notes);
    }

    [Fact]
    public void Angles_of_both_sides_say_how_likely_a_difference_is()
    {
        // Far apart: strong for sure, as if the level had been found; alike: mostly small, never certain.
        var strong = Ask(new(null, null, 2));
        Assert.All([0.1, 0.5, 0.9], level => Assert.Equal(strong.Quantile(level), Ask(new(null, null, null) { GonialLeft = 118, GonialRight = 132 }).Quantile(level)));
        var alike = Ask(new(null, null, null) { GonialLeft = 124, GonialRight = 124 });
        Assert.True(alike.Chances.Count > 0 && !alike.LeftOpen.Contains(Model.Words.Questions["side-difference"]));
        Assert.Contains(Model.Words.Notes["odd-angles"], Ask(new(null, null, null) { GonialLeft = 110, GonialRight = 132 }).Notes);
        // What was graded by hand counts more than an angle.
        Assert.Equal(strong.Chances, Ask(new(null, null, 2) { GonialLeft = 124, GonialRight = 124 }).Chances);
    }

    [Fact]
    [Source("the design page on profile geometry, vectors", at: "points misplaced by 2 mm put an angle of 120 degrees off by a standard deviation of 3.570 degrees")]
    public void Angles_of_photos_say_less_of_a_difference_than_the_same_angles_without_misplaced_points()
    {
        var angles = new ExamFindings(null, null, null) { GonialLeft = 120, GonialRight = 120 };
        PriceRange photos = Ask(angles with { PlacedSd = Math.Sqrt(2) * 3.570 }), typed = Ask(angles), alike = Ask(new(null, null, 0));
        Assert.True(Ratio(alike) < Ratio(typed) && Ratio(typed) < Ratio(photos));
        Assert.True(photos.Quantile(0.9) > typed.Quantile(0.9));
    }

    [Fact]
    public void One_angle_alone_concludes_nothing_and_says_so()
    {
        var one = Ask(new(null, null, null) { GonialLeft = 124 });
        Assert.Equal(Ask(ExamFindings.None).Chances, one.Chances);
        Assert.Contains(Model.Words.Notes["one-angle"], one.Notes);
    }

    [Fact]
    public void Earlier_filler_that_was_found_counts_more_than_what_was_remembered()
    {
        var said = Nora().With("earlier-filler", "yes").With("earlier-filler-when", "within-12-months").With("earlier-filler-kind", "ha");
        PriceRange open = Ask(ExamFindings.None, said), found = Ask(new(null, null, null) { FillerHere = true }, said), absent = Ask(new(null, null, null) { FillerHere = false }, said);
        Assert.True(found.Quantile(0.5) < open.Quantile(0.5) && open.Quantile(0.5) < absent.Quantile(0.5));
        Assert.Equal(Ask(ExamFindings.None).Chances, absent.Chances);
    }

    [Theory]
    [InlineData(12, 120.0, null)]
    [InlineData(120, 500.0, null)]
    [InlineData(double.NaN, 120.0, null)]
    [InlineData(120, 121.0, 7)]
    [InlineData(120, 121.0, -1)]
    public void An_absurd_measure_is_refused_by_name(double left, double right, int? resistance)
    {
        var outcome = Outcome(new(null, null, null) { GonialLeft = left, GonialRight = right, Resistance = resistance }, Nora(), Model.ColdStart(), new());
        Assert.Contains(Assert.IsType<PriceOutcome.CannotSayYet>(outcome).Because, why => why.Contains("angle") || why.Contains("resistance"));
    }

    [Fact]
    public void Injectors_with_different_habits_are_told_apart_and_hold_on_to_their_clinic()
    {
        // Two habits 0.4 apart on the log scale, twenty cases each, and somebody with one case.
        var cases = Learning_from_cases.Cases(41, seed: 21, level: 0, old: false).Select((c, i) => c with
        {
            Injector = i == 40 ? "rare" : i % 2 == 0 ? "sparing" : "generous", Amounts = [.. c.Amounts.Select(a => a with { Ml = a.Ml * Math.Exp(i == 40 || i % 2 == 0 ? 0 : 0.4) })],
        }).ToList();
        var figures = Learning.From(Model, cases, Today).Figures;
        double Of(string id) => figures.MeanOf("level") + figures.MeanOf($"injector:{id}");
        Assert.InRange(Of("generous") - Of("sparing"), 0.2, 0.45);
        // Partial pooling: one case moves her a little away from the clinic, twenty like it most of the way.
        var often = Learning.From(Model, [.. cases, .. Enumerable.Range(0, 19).Select(i => cases[40] with { Id = $"again-{i}" })], Today).Figures;
        Assert.True(Math.Abs(figures.MeanOf("injector:rare")) < 0.7 * Math.Abs(often.MeanOf("injector:rare")));
        Assert.Equal(1, figures.Injectors.Sum(i => i.Share), 1e-12);

        PriceRange Ask(string? who) => Range(figures, who);
        var (sparing, generous, nobody, newcomer) = (Ask("sparing"), Ask("generous"), Ask(null), Ask("somebody new"));
        Assert.True(sparing.Quantile(0.5) < nobody.Quantile(0.5) && nobody.Quantile(0.5) < generous.Quantile(0.5));
        Assert.True(Ratio(nobody) > Ratio(generous));
        Assert.True(Ratio(newcomer) > Ratio(generous));
        Assert.Contains(Model.Words.Notes["new-injector"], newcomer.Notes);
        Assert.Contains(Model.Words.Notes["named-injector"], generous.Notes);
        Assert.DoesNotContain(nobody.Notes, n => n == Model.Words.Notes["named-injector"] || n == Model.Words.Notes["new-injector"]);
        // What is expected in mL, by region, is hers too.
        double Middle(string? who) => AmountForecasts.Of(Model, new(["jaw-body", "chin"], "caha-filler", "clear", Today), Learning_from_cases.Told(), figures, null, new() { Injector = who })[^1].Median;
        Assert.True(Middle("sparing") < Middle(null) && Middle(null) < Middle("generous"));
        // Order of cases changes no bit here either.
        Assert.Equal(figures.Mean, Learning.From(Model, [.. Enumerable.Reverse(cases)], Today).Figures.Mean);
    }

    [Fact]
    public void Without_a_recorded_injector_nothing_changes() =>
        Assert.Empty(Learning.From(Model, Learning_from_cases.Cases(5, seed: 22), Today).Figures.Injectors);

    [Fact]
    public void Many_injectors_are_never_more_than_eight_levels()
    {
        var cases = Learning_from_cases.Cases(30, seed: 23, old: false).Select((c, i) => c with { Injector = $"i{i % 15}" }).ToList();
        var figures = Learning.From(Model, cases, Today).Figures;
        Assert.Equal(Learning.MostInjectors, figures.Injectors.Count);
        Assert.Null(figures.Fault());
        Assert.IsType<PriceOutcome.Known>(Outcome(ExamFindings.None, Nora(), figures, new()));
    }

    [Fact]
    public void More_cases_narrow_the_amount_on_average()
    {
        // Beyond a few dozen cases what is left is the faces themselves: no number of cases narrows those.
        var cold = Math.Log(Ratio(Range(Model.ColdStart(), null)));
        double Width(int cases) => Enumerable.Range(0, 4).Average(seed => Math.Log(Ratio(Range(Learning.From(Model, Learning_from_cases.Cases(cases, 40 + seed, level: 0, old: false), Today).Figures, null))));
        Assert.All([Width(10), Width(80)], width => Assert.True(width < 0.85 * cold));

        // What the clinic's records leave open shrinks with every further block of cases, whatever they hold.
        var all = Learning_from_cases.Cases(160, 44, level: 0, old: false);
        double Left(int cases) => Learning.From(Model, all[..cases], Today).Figures.Reduce([("level", 1)], ["region:jaw-angle", "region:jaw-body"]).Shared;
        double[] left = [Model.ColdStart().Reduce([("level", 1)], ["region:jaw-angle", "region:jaw-body"]).Shared, .. new[] { 5, 10, 20, 28, 80, 160 }.Select(Left)];
        Assert.Equal(left.OrderDescending(), left);
    }

    private static double Ratio(PriceRange range) => range.Amount!.At(0.9) / range.Amount.At(0.1);

    private static PriceRange Ask(ExamFindings exam, Dictionary<string, string[]>? given = null) =>
        Assert.IsType<PriceOutcome.Known>(Outcome(exam, given ?? Nora(), Model.ColdStart(), new())).Range;

    private static PriceRange Range(ClinicFigures figures, string? injector) => Assert.IsType<PriceOutcome.Known>(Outcome(ExamFindings.None, Nora(), figures, new() { Injector = injector })).Range;

    private static PriceOutcome Outcome(ExamFindings exam, Dictionary<string, string[]> given, ClinicFigures figures, RangeOptions options)
    {
        var answers = Learning_from_cases.Told([.. given.Where(g => g.Key != "wish-regions").Select(g => (g.Key, g.Value[0]))]);
        return Model.RangeFor(new(given["wish-regions"], "caha-filler", "clear", Today), answers, Fine, figures, exam, options);
    }
}
