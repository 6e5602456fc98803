using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using NodaTime;

namespace AftercarePortal.Benchmarks;

/// <summary>What the clinical core needs for one reading and one price range.</summary>
internal static class Core
{
    private static readonly string[] Texts =
    [
        "thanks, a bit sore but all fine", "my skin has gone white where you injected and it hurts more and more",
        "Is it normal that the left side is firmer than the right? It does not hurt and the colour is like always, I only wonder because my sister said hers was softer by now.",
    ];

    public static async Task<Timings> Reading(ContentLibrary content, int times)
    {
        var timings = new Timings();
        for (var i = -100; i < times; i++)
        {
            var text = Texts[Math.Abs(i) % Texts.Length];
            await (i < 0 ? new Timings() : timings).Time(() => Task.FromResult(content.Lexicon.Read(text, new ReadingContext(2, [ProductClass.CaHAFiller], 0))));
        }

        return timings;
    }

    public static async Task<Timings> Range(ContentLibrary content, int times)
    {
        var today = new LocalDate(2026, 11, 25);
        var given = new Dictionary<string, string[]>
        {
            ["birth-date"] = ["1981-05-04"], ["sex"] = ["female"], ["weight-change"] = ["no"], ["tooth-loss"] = ["no"], ["earlier-filler"] = ["no"],
            ["wish-regions"] = ["jaw-angle", "jaw-body", "pre-jowl"], ["wish-product"] = ["caha-filler"], ["wish-strength"] = ["clear"], ["side-difference"] = ["slight"],
        };
        var answers = new Answers(given.ToDictionary(g => g.Key, Answer (g) => new Answer.Given(g.Value)));
        var timings = new Timings();
        for (var i = -3; i < times; i++)
        {
            await (i < 0 ? new Timings() : timings).Time(() =>
                content.Pricing.RangeFor(Wishes.From(answers, today), answers, content.PriceLists["wrenfold-prices.v1"], content.Pricing.ColdStart()) is PriceOutcome.Known
                    ? Task.CompletedTask
                    : throw new InvalidOperationException("There is no range for these answers."));
        }

        return timings;
    }
}
