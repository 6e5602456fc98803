using System.Globalization;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Aftercare;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>Did the ranges hold, and what has been learned: for whoever leads the practice.</summary>
internal sealed class IndexModel(PortalDb db, ReadOutcomes outcomes, LearnFigures learn, ContentLibrary content) : PageModel
{
    /// <summary>From so many compared quotes pictures are drawn; fewer say nothing by their shape.</summary>
    public const int PicturesFrom = 10;

    private const int VersionsShown = 10;

    /// <summary>Which ranges are looked at: those from the answers alone, or those after an examination.</summary>
    [BindProperty(SupportsGet = true)] public QuoteStage Stage { get; set; }
    public OutcomeCounts Counts { get; private set; } = null!;
    /// <summary>Filler of the first visits, in mL.</summary>
    public ForecastReport Ml { get; private set; } = null!;
    /// <summary>Courses that are over, in minor units of <see cref="Currency"/>.</summary>
    public ForecastReport Money { get; private set; } = null!;
    /// <summary>The price ranges judged by how sure they said they were on average, which whole syringes make more than was promised; null without one.</summary>
    public RangeCoverage? MoneyAsSaid { get; private set; }
    /// <summary>Amounts by region, then all together.</summary>
    public IReadOnlyList<(string Name, RangeCoverage Coverage)> Regions { get; private set; } = [];
    /// <summary>Amounts of all regions together by who signed the first visit, by name.</summary>
    public IReadOnlyList<(string Name, RangeCoverage Coverage)> Injectors { get; private set; } = [];
    /// <summary>The last versions of what was learned, the newest first; at most 10.</summary>
    public IReadOnlyList<ClinicFiguresRow> Versions { get; private set; } = [];
    /// <summary>What the newest version did not learn from.</summary>
    public IReadOnlyList<LeftOutCase> LeftOut { get; private set; } = [];
    /// <summary>What is used here compared with the model's start; empty: the model in force has learned nothing here.</summary>
    public IReadOnlyList<ClinicHabit> Habits { get; private set; } = [];
    /// <summary>Share the next ranges promise to hold.</summary>
    public double Promised { get; private set; }
    /// <summary>Coverage by what was promised; empty when all compared ranges promised the same.</summary>
    public IReadOnlyList<(string Name, RangeCoverage Coverage)> ByPromise { get; private set; } = [];
    /// <summary>As the next price range is made.</summary>
    public WideningState Widening { get; private set; } = null!;
    /// <summary>Of courses that are over, in how many a touch-up was recorded.</summary>
    public (int TouchedUp, int Ended) TouchUps { get; private set; }
    /// <summary>What the price model takes for it, in 100.</summary>
    public int ExpectedTouchUps => (int)Math.Round(100 * content.Pricing.SecondVisit.Probability);
    /// <summary>How patients found the result, by question.</summary>
    public IReadOnlyList<SaidOfResult> Found { get; private set; } = [];
    /// <summary>Version of the price model in force.</summary>
    public string ModelVersion => content.Pricing.Version.ToString();
    /// <summary>ISO 4217 code of what is compared; empty: nothing is.</summary>
    public string Currency { get; private set; } = "";
    /// <summary>What "learn now" did, or null.</summary>
    public string? Said { get; private set; }

    public Task OnGetAsync(CancellationToken stop) => Load(stop);

    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        var before = await db.NewestFigures(stop);
        Said = await learn.Learn(User.Identity!.Name!, stop)
            ? "Learned. The next range uses it."
            : before is null ? "There is no completed case to learn from yet." : $"Nothing new: version {before.Number} was learned today from the same cases.";
        await Load(stop);
        return Page();
    }

    /// <summary>For example <c>1.25 mL</c>.</summary>
    public static string SayMl(double ml) => ml.ToString("0.00", CultureInfo.InvariantCulture) + " mL";

    /// <summary>Minor units of <see cref="Currency"/> as people write money, no more exact than a range of that width.</summary>
    public string SayMoney(double minor) => SaidMoney.Score(minor, Currency).ToString();

    private async Task Load(CancellationToken stop)
    {
        var (cases, counts) = await outcomes.Run(Stage, stop);
        Counts = counts;
        Ml = ForecastReport.Of(cases.Select(c => c.All).OfType<ForecastCase>());
        Promised = (await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop)).Promised;
        var byPromise = cases.Select(c => c.All).OfType<ForecastCase>().GroupBy(c => c.Promised).OrderBy(g => g.Key).ToList();
        ByPromise = byPromise.Count > 1 ? [.. byPromise.Select(g => (PromisedShare.Says(g.Key), ForecastReport.Of(g).Coverage))] : [];
        var inMoney = cases.Where(c => c.Money is not null).ToList();
        // Money of one currency is compared: that of the latest quote.
        Currency = inMoney.Count > 0 ? inMoney[^1].Range.AtMost.Currency : "";
        inMoney.RemoveAll(c => c.Range.AtMost.Currency != Currency);
        Money = ForecastReport.Of(inMoney.Select(c => c.Money!));
        TouchUps = (cases.Count(c => c.End is not null && c.Course.TouchedUp), cases.Count(c => c.End is not null));
        var held = (await db.WholeRecords().Where(t => db.Set<ReviewAnswerRow>().Any(a => a.TreatmentId == t.Id)).ToListAsync(stop)).Where(t => t.DoesHold).Select(t => t.Id).ToHashSet();
        Found = SaidOfResult.Of(content.OutcomeQuestions, [.. (await db.ReviewAnswers.AsNoTracking().ToListAsync(stop)).Where(a => held.Contains(a.TreatmentId))]);
        MoneyAsSaid = inMoney.Count > 0 ? Money.Coverage with { Promised = (double)inMoney.Average(c => c.Range.MassInside) } : null;
        Regions =
        [
            .. content.Pricing.Regions.Select(r => r.Code).Append(AmountForecast.All)
                .Select(code => (code == AmountForecast.All ? "all together" : code.Replace('-', ' '), ForecastReport.Of(cases.Select(c => c.Ml.GetValueOrDefault(code)).OfType<ForecastCase>()).Coverage)),
        ];
        Injectors = [.. cases.GroupBy(c => c.Course.Injector).OrderBy(g => g.Key, StringComparer.Ordinal).Select(g => (g.Key, ForecastReport.Of(g.Select(c => c.All).OfType<ForecastCase>()).Coverage))];
        Versions = await db.ClinicFigures.AsNoTracking().OrderByDescending(f => f.Number).Take(VersionsShown).ToListAsync(stop);
        LeftOut = Versions.Count > 0 ? System.Text.Json.JsonSerializer.Deserialize<List<LeftOutCase>>(Versions[0].LeftOut)! : [];
        var (number, figures, calibration) = await db.FiguresFor(content.Pricing, Promised, stop);
        Widening = WideningState.Of(calibration);
        Habits = number > 0 ? ClinicHabit.Of(content.Pricing, figures) : [];
    }
}
