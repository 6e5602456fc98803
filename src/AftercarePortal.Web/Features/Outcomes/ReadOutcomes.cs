using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>Puts every quote of a treated person beside what was used.</summary>
internal sealed class ReadOutcomes(PortalDb db, ContentLibrary content, ReadCourses courses)
{
    /// <summary>The cases of one stage, earliest first, and what became of all ranges.</summary>
    public async Task<(IReadOnlyList<OutcomeCase> Cases, OutcomeCounts Counts)> Run(QuoteStage stage, CancellationToken stop)
    {
        var all = await courses.Run(stop);
        var decisions = db.Decisions;
        var quotes = (await db.Quotes.AsNoTracking().Where(q => q.Stage == stage && decisions.Any(d => d.IntakeId == q.IntakeId && d.PatientId != null)).ToListAsync(stop)).ToLookup(q => q.IntakeId);
        var ends = (await db.CourseEnds.AsNoTracking().ToListAsync(stop)).ToLookup(e => e.IntakeId);
        var names = await db.Patients.AsNoTracking().Where(p => decisions.Any(d => d.PatientId == p.Id)).ToDictionaryAsync(p => p.Id, p => p.Name, stop);
        List<OutcomeCase> cases =
        [
            .. from course in all
               let quote = quotes[course.IntakeId].Where(q => q.MadeAt <= course.First.SignedAt).OrderBy(q => q.MadeAt).ThenBy(q => q.Id).LastOrDefault()
               where quote is not null
               select Compare(course, quote, names[course.PatientId], ends[course.IntakeId].MaxBy(e => e.EndedAt)),
        ];
        var rows = db.Quotes;
        var counts = new OutcomeCounts(
            await db.Intakes.CountAsync(i => i.SubmittedAt != null && rows.Any(q => q.IntakeId == i.Id), stop),
            await db.Intakes.CountAsync(i => decisions.Any(d => d.IntakeId == i.Id && d.PatientId != null) && rows.Any(q => q.IntakeId == i.Id), stop),
            cases.Count, cases.Count(c => c.PlanChanged is not null), cases.Count(c => c.End is not null));
        return (cases, counts);
    }

    private OutcomeCase Compare(Course course, QuoteRow quote, string name, CourseEndRow? end)
    {
        var (forecasts, range, on) = (quote.Forecasts(), quote.ShownRange(), course.First.TreatedOn);
        var used = Used.Fillers(course.First).GroupBy(f => f.Region).ToDictionary(f => f.Key, f => f.Sum(x => x.Ml));
        var wished = forecasts.Select(f => f.Region).Where(r => r != AmountForecast.All).ToList();
        var changed = Changed(wished, [.. used.Keys]);
        var ml = new Dictionary<string, ForecastCase>();
        if (changed is null)
            foreach (var forecast in forecasts)
            {
                var actual = forecast.Region == AmountForecast.All ? used.Values.Sum() : used[forecast.Region];
                var place = forecast.Below(actual);
                ml[forecast.Region] = new(on, forecast.Lower, forecast.Upper, actual, place, place) { Promised = forecast.Promised };
            }

        var cameTo = end is not null && content.PriceLists.TryGetValue(quote.Prices, out var prices) ? UsedCost.Of(prices, [.. course.Visits.Select(Used.Billed)], end.Sessions) : null;
        var money = changed is null && cameTo is { } total ? Compare(range, total, on) : null;
        return new(course, quote, name, forecasts, range, ml, money, cameTo, changed, end);
    }

    private static ForecastCase Compare(PriceRange range, Money total, NodaTime.LocalDate on)
    {
        var forecast = PointForecast.Of([.. range.Chances.Select(c => ((double)c.Total, c.Probability))], total.Minor);
        return new(on, range.Central.From.Minor, range.Central.To.Minor, total.Minor, forecast.Below, forecast.UpTo) { Promised = range.Promised };
    }

    private static string? Changed(List<string> wished, List<string> treated)
    {
        static string Words(IEnumerable<string> regions) => string.Join(", ", regions.Select(r => r.Replace('-', ' ')));
        var (more, less) = (treated.Except(wished).ToList(), wished.Except(treated).ToList());
        if (more.Count + less.Count == 0) return null;
        return string.Join("; ", new[] { more.Count > 0 ? $"also treated: {Words(more)}" : "", less.Count > 0 ? $"not treated: {Words(less)}" : "" }.Where(s => s.Length > 0));
    }
}
