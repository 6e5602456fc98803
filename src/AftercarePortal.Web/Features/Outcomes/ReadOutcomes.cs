using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Products;
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
        var cases = await Cases(stage, endedOnly: false, stop);
        var (rows, decisions) = (db.Quotes, db.Decisions);
        var counts = new OutcomeCounts(
            await db.Intakes.CountAsync(i => i.SubmittedAt != null && rows.Any(q => q.IntakeId == i.Id), stop),
            await db.Intakes.CountAsync(i => decisions.Any(d => d.IntakeId == i.Id && d.PatientId != null) && rows.Any(q => q.IntakeId == i.Id), stop),
            cases.Count, cases.Count(c => c.PlanChanged is not null), cases.Count(c => c.End is not null));
        return (cases, counts);
    }

    /// <summary>The cases of one stage whose course is over, earliest first: quotes of the others are not read.</summary>
    public Task<List<OutcomeCase>> Ended(QuoteStage stage, CancellationToken stop) => Cases(stage, endedOnly: true, stop);

    private async Task<List<OutcomeCase>> Cases(QuoteStage stage, bool endedOnly, CancellationToken stop)
    {
        var all = await courses.Run(stop);
        var (decisions, over) = (db.Decisions, db.CourseEnds);
        var compared = db.Quotes.AsNoTracking().Where(q => q.Stage == stage && decisions.Any(d => d.IntakeId == q.IntakeId && d.PatientId != null));
        if (endedOnly) compared = compared.Where(q => over.Any(e => e.IntakeId == q.IntakeId));
        var quotes = (await compared.ToListAsync(stop)).ToLookup(q => q.IntakeId);
        var ends = (await db.CourseEnds.AsNoTracking().ToListAsync(stop)).ToLookup(e => e.IntakeId);
        var examined = stage is QuoteStage.Examined ? (await db.Examinations.AsNoTracking().Select(e => new { e.IntakeId, e.Id, e.ExaminedAt, e.Number }).ToListAsync(stop)).ToLookup(e => e.IntakeId) : null;
        var names = await db.Patients.AsNoTracking().Where(p => decisions.Any(d => d.PatientId == p.Id)).ToDictionaryAsync(p => p.Id, p => p.Name, stop);
        return
        [
            .. from course in all
               // After a later examination that gave no range, that of an earlier one stood no more.
               let latest = examined?[course.IntakeId].Where(e => e.ExaminedAt <= course.First.SignedAt).MaxBy(e => e.Number)?.Id
               let quote = quotes[course.IntakeId].Where(q => q.MadeAt <= course.First.SignedAt && (examined is null || q.ExaminationId == latest)).OrderBy(q => q.MadeAt).ThenBy(q => q.Id).LastOrDefault()
               where quote is not null
               select Compare(course, quote, names[course.PatientId], ends[course.IntakeId].MaxBy(e => (e.EndedAt, e.Id))),
        ];
    }

    private OutcomeCase Compare(Course course, QuoteRow quote, string name, CourseEndRow? end)
    {
        var (forecasts, range, on) = (quote.Forecasts(), quote.ShownRange(), course.First.TreatedOn);
        var used = Used.Fillers(course.Visits[0]).GroupBy(f => f.Region).ToDictionary(f => f.Key, f => f.Sum(x => x.Ml));
        var wished = forecasts.Select(f => f.Region).Where(r => r != AmountForecast.All).ToList();
        var toxin = course.Visits.SelectMany(visit => visit).SelectMany(record => record.Placements).Any(p => p.ProductClass is ProductClass.BotulinumToxinTypeA && p.TenthsUnits > 0);
        var changed = Otherwise([Changed(wished, [.. used.Keys]), OtherProduct(quote.Wished("wish-product"), course), OtherToxin(range, toxin, end is not null)]);
        var ml = new Dictionary<string, ForecastCase>();
        if (changed is null)
            foreach (var forecast in forecasts)
            {
                var actual = forecast.Region == AmountForecast.All ? used.Values.Sum() : used[forecast.Region];
                var place = forecast.Below(actual);
                ml[forecast.Region] = new(on, forecast.Lower, forecast.Upper, actual, place, place) { Promised = forecast.Promised };
            }

        var cameTo = end is not null && !Used.HasUnpriced(course.Visits, end.Sessions) && content.PriceLists.TryGetValue(quote.Prices, out var prices) ? UsedCost.Of(prices, [.. course.Visits.Select(Used.Billed)], end.Sessions) : null;
        var money = changed is null && cameTo is { } total ? Compare(range, total, on) : null;
        return new(course, quote, name, forecasts, range, ml, money, cameTo, changed, end);
    }

    private static ForecastCase Compare(PriceRange range, Money total, NodaTime.LocalDate on)
    {
        var forecast = PointForecast.Of([.. range.Chances.Select(c => ((double)c.Total, c.Probability))], total.Minor);
        return new(on, range.Central.From.Minor, range.Central.To.Minor, total.Minor, forecast.Below, forecast.UpTo) { Promised = range.Promised };
    }

    private static string? Otherwise(IEnumerable<string?> changes) => string.Join("; ", changes.OfType<string>()) is { Length: > 0 } all ? all : null;

    // One who named a filler was quoted for that one alone.
    private static string? OtherProduct(IReadOnlyList<string> wished, Course course)
    {
        if (wished is not [var one] || one is "not-sure") return null;
        var others = course.Visits[0].SelectMany(record => record.Placements).Select(p => p.ProductClass).Distinct().Where(p => Used.CodeOf(p) is { } code && code != one).Select(p => p.Name()).ToList();
        return others.Count > 0 ? $"treated with {string.Join(", ", others)}" : null;
    }

    // Toxin may be an uncertain part of a range: only where it was no part, or a sure one, does it change what is compared.
    private static string? OtherToxin(PriceRange range, bool used, bool isOver)
    {
        var quoted = range.Lines.FirstOrDefault(l => l.Id is "toxin");
        if (used && quoted is null) return $"also treated: {ProductClass.BotulinumToxinTypeA.Name()}";
        return isOver && !used && quoted?.Span.From.Minor > 0 ? $"not treated: {ProductClass.BotulinumToxinTypeA.Name()}" : null;
    }

    private static string? Changed(List<string> wished, List<string> treated)
    {
        static string Words(IEnumerable<string> regions) => string.Join(", ", regions.Select(r => r.Replace('-', ' ')));
        var (more, less) = (treated.Except(wished).ToList(), wished.Except(treated).ToList());
        if (more.Count + less.Count == 0) return null;
        return string.Join("; ", new[] { more.Count > 0 ? $"also treated: {Words(more)}" : "", less.Count > 0 ? $"not treated: {Words(less)}" : "" }.Where(s => s.Length > 0));
    }
}
