using System.Diagnostics;
using System.Globalization;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.Commands.Simulation;
using AftercarePortal.Web.ContentFiles;
using NodaTime;

namespace AftercarePortal.Benchmarks;

/// <summary>How fast and how exact a price range is.</summary>
internal static class Prices
{
    private static readonly PriceCase Jaw = new(
        8, 1, 0.2, 0.15, 0.1, [1, 2, 3.5], [[0.2, 0.07, 0.02], [0.25, 0.09, 0.02], [0.17, 0.06, 0.02], [0.07, 0.02, 0.01]], [0.42, 0.40, 0.18], [-0.1, 0, 0.12, 0.25], [0, 0.15, 0.3], [new(1, 0, 0.04)],
        [new("caha-filler", new(1.5, 0.1, 60000, 55000), [new(Math.Log(0.6), 2, 0.0225), new(Math.Log(0.5), 2, 0.0225), new(Math.Log(0.4), 2, 0.0225)])], new(0.35, 0.3, 0.4),
        [[(0, 1)], [(0, 0.7), (26, 0.3)], [(26, 0.6), (31, 0.4)], [(31, 0.5), (36, 0.5)]], 1200, [[1, 0, 0], [0.6, 0.3, 0.1], [0.4, 0.4, 0.2], [0.3, 0.4, 0.3]], 30000, 5000, 825, 30, 40);

    internal static void Run(ContentLibrary content, TextWriter output)
    {
        output.WriteLine(Timed("price range, the very first of the process", 1, () => Range(content, content.Pricing.ColdStart(), null)));
        for (var i = 0; i < 30; i++) Range(content, content.Pricing.ColdStart(), null);
        output.WriteLine(Timed("price range, nothing kept (bar 50)", 60, () => Range(content, content.Pricing.ColdStart(), null)));
        var bases = new PriceBases();
        Range(content, content.Pricing.ColdStart(), bases);
        output.WriteLine(Timed("price range, its base kept (bar 5, goal 1)", 200, () => Range(content, content.Pricing.ColdStart(), bases)));
        var turn = 0;
        output.WriteLine(Timed("the same, answers and findings never seen before (bar 5)", 200, () => Range(content, Shifted(content.Pricing.ColdStart(), 1e-6 * ++turn), bases)));
        output.WriteLine(Timed("forecast without words, its base kept", 200, () => Forecast(content, bases)));
        Learn(content.Pricing, output);
        Compare("", Jaw, output);
        Compare("with packages, ", Jaw with { Products = [Jaw.Products[0] with { Packages = [new(3, 160000), new(2, 112000)] }], SessionPackages = [new(2, 51000)] }, output);
    }

    private static PriceOutcome Range(ContentLibrary content, ClinicFigures figures, PriceBases? bases)
    {
        var (wishes, answers) = Asked();
        return content.Pricing.RangeFor(wishes, answers, content.PriceLists["wrenfold-prices.v1"], figures, null, new() { Bases = bases });
    }

    // The strength of a wish moves the shift of the whole face and leaves the volumes as they are: what is kept of other answers does not serve.
    private static ClinicFigures Shifted(ClinicFigures figures, double by) => figures with { Mean = [.. figures.Mean.Select((m, i) => figures.Parameters[i] == "strength" ? m + by : m)] };

    private static PriceForecast? Forecast(ContentLibrary content, PriceBases bases)
    {
        var (wishes, answers) = Asked();
        return content.Pricing.ForecastFor(wishes, answers, content.PriceLists["wrenfold-prices.v1"], content.Pricing.ColdStart(), null, new() { Bases = bases });
    }

    private static (Wishes, Answers) Asked()
    {
        var given = new Dictionary<string, string[]>
        {
            ["birth-date"] = ["1981-05-04"], ["sex"] = ["female"], ["weight-change"] = ["no"], ["tooth-loss"] = ["no"], ["earlier-filler"] = ["no"],
            ["wish-regions"] = ["jaw-angle", "jaw-body", "pre-jowl"], ["wish-product"] = ["caha-filler"], ["wish-strength"] = ["strong"], ["side-difference"] = ["slight"],
        };
        var answers = new Answers(given.ToDictionary(g => g.Key, Answer (g) => new Answer.Given(g.Value)));
        return (Wishes.From(answers, new LocalDate(2026, 11, 25)), answers);
    }

    private static void Learn(PriceModel model, TextWriter output)
    {
        var clinic = new SimulatedClinic(model, Generator.All[0], 7);
        var cases = Enumerable.Range(1, 100_000).Select(i => clinic.Next(i, 1.5) with { Id = $"{i}", On = new LocalDate(2025, 1, 6).PlusDays(i / 150) }).ToList();
        output.WriteLine(Timed("learning from 100,000 completed cases (bar 2,000)", 3, () => Learning.From(model, cases, new LocalDate(2026, 12, 24))));
    }

    private static void Compare(string what, PriceCase price, TextWriter output)
    {
        const int draws = 10_000_000;
        new PriceEngine(price).Total();
        var clock = Stopwatch.StartNew();
        const int times = 20;
        for (var i = 1; i < times; i++) new PriceEngine(price).Total();
        var exact = new PriceEngine(price).Total();
        var exactMs = clock.Elapsed.TotalMilliseconds / times;
        clock.Restart();
        var drawn = RandomDraws.Of(price, draws, 20261125);
        var drawnMs = clock.Elapsed.TotalMilliseconds;
        double worst = 0, largest = 0;
        foreach (var (total, p) in exact.Atoms.Where(a => a.Probability > 1e-4))
        {
            var off = Math.Abs(p - drawn.GetValueOrDefault(total));
            largest = Math.Max(largest, off);
            worst = Math.Max(worst, off / Math.Sqrt(p * (1 - p) / draws));
        }

        var mean = drawn.Sum(d => d.Key * d.Value);
        var meanOff = (mean - exact.Mean) / Math.Sqrt(exact.Variance / draws);
        var error = ErrorOfEngine();
        // So many draws would bring the standard error of an atom of 0.3 down to the engine's own error.
        var needed = 0.3 * 0.7 / (error * error);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{what}exact against {draws:#,##0} draws: largest atom difference {largest:0.0e0}, {worst:0.0} standard errors (4.5 allowed over {exact.Atoms.Count} atoms); mean off by {meanOff:0.0}"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{what}exact {exactMs:0.0} ms, draws {drawnMs:0} ms; error of the engine {error:0.0e0} against a closed form: as exact by draws needs {needed:0.0e0} of them, {drawnMs / draws * needed / exactMs:#,##0} times as long (goal 100)"));
        if (worst > 4.5 || Math.Abs(meanOff) > 4.5) throw new InvalidOperationException("The exact distribution and the draws disagree.");
    }

    // One region whose units have a closed form: the same grid and the same sums as every case.
    private static double ErrorOfEngine()
    {
        var one = Jaw with
        {
            Nu = null, SideFactor = [1], SideDifference = [1], LaxityBone = [[1]], LaxityShift = [0], BoneShift = [0], Toxin = [[(0, 1)]], Sessions = [[1]],
            Products = [new("one", new(1, 0.1, 1, 1), [new(0, 1, 0.0225)])], SecondVisit = null,
        };
        var units = new PriceEngine(one).FirstVisitUnits(0);
        var sd = Math.Sqrt(0.04 + 0.2 * 0.2 + 0.15 * 0.15 + 0.1 * 0.1 + 0.0225);
        double before = 0, worst = 0;
        for (var n = 1; n < 12; n++)
        {
            var below = MathNet.Numerics.Distributions.Normal.CDF(0, 1, Math.Log(n + 0.1) / sd);
            worst = Math.Max(worst, Math.Abs(units[n] - (below - before)));
            before = below;
        }

        return worst;
    }

    private static string Timed(string what, int times, Action act)
    {
        var timings = new Timings();
        // On a busy machine the clock also counts waiting; the processor's own time does not.
        var before = Environment.CpuUsage.UserTime;
        for (var i = 0; i < times; i++) timings.Time(() => { act(); return Task.CompletedTask; }).GetAwaiter().GetResult();
        return string.Create(CultureInfo.InvariantCulture, $"{timings.Line(what)}   processor {(Environment.CpuUsage.UserTime - before).TotalMilliseconds / times:0.000}");
    }
}
