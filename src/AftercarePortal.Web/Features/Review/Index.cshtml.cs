using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Intakes that wait for a decision, urgent words first, then the oldest; a deferred one comes back on its day.</summary>
internal sealed class IndexModel(PortalDb db, ContentLibrary content, TimeProvider time) : PageModel
{
    /// <summary>One intake, in words.</summary>
    /// <param name="Name">As typed when it was sent.</param>
    /// <param name="SentOn">Day it was sent on the clinic's calendar.</param>
    /// <param name="ClearFirst">How many the person reads of this kind.</param>
    /// <param name="Wait">How many the person reads of this kind.</param>
    /// <param name="Discuss">How many the person reads of this kind.</param>
    /// <param name="ForStaff">How many findings only the clinician reads.</param>
    /// <param name="SoundsUrgent">Words of the intake, or of an answer nobody has read, should not wait.</param>
    /// <param name="DeferredUntil">Day it was deferred to; null: it was not.</param>
    /// <param name="HasAnswered">A question was answered, and nobody has read it.</param>
    /// <param name="AskedOn">Day a question was asked that is not answered yet; null: none.</param>
    public sealed record Line(Guid Id, string Name, string SentOn, int ClearFirst, int Wait, int Discuss, int ForStaff, bool SoundsUrgent, string? DeferredUntil, bool HasAnswered, string? AskedOn);

    /// <summary>Urgent words first, then answers nobody has read, then the oldest.</summary>
    public IReadOnlyList<Line> Waiting { get; private set; } = [];

    /// <summary>Those who were asked something and have not answered yet.</summary>
    public IReadOnlyList<Line> Asked { get; private set; } = [];

    public async Task OnGetAsync(CancellationToken stop)
    {
        var zone = DateTimeZoneProviders.Tzdb[(await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop)).Zone];
        var today = time.GetCurrentInstant().InZone(zone).Date;
        var (decisions, questions) = (db.Decisions, db.Questions);
        var rows = await (
            from intake in db.Intakes.AsNoTracking()
            where intake.SubmittedAt != null
            let latest = decisions.Where(d => d.IntakeId == intake.Id).OrderByDescending(d => d.Number).FirstOrDefault()
            let asked = questions.Where(q => q.IntakeId == intake.Id).OrderByDescending(q => q.Number).FirstOrDefault()
            where latest == null || latest.Decision == Decision.Deferred || (asked != null && asked.ReadAt == null)
            orderby intake.SubmittedAt
            select new { Intake = intake, Until = latest == null ? null : latest.Until, Question = asked }).ToListAsync(stop);
        var say = content.Pages[PageWords.Languages[0]];
        var lines = new List<Line>();
        foreach (var row in rows.Where(r => r.Until is not { } until || until <= today || r.Question is { ReadAt: null }))
        {
            var result = IntakeResult.FromJson((await db.LatestResultOf(row.Intake.Id, stop))!.Json);
            int Count(FindingKind kind) => FindingsForStaff.ReadOf(result, kind);
            lines.Add(new(
                row.Intake.Id, row.Intake.Name!, AnswerWords.OfDate(row.Intake.SubmittedAt!.Value.InZone(zone).Date, say),
                Count(FindingKind.ClearFirst), Count(FindingKind.Wait), Count(FindingKind.Discuss), result.Findings.Count(f => f.ForClinician), result.WordsSoundUrgent || row.Question is { SoundsUrgent: true, ReadAt: null },
                row.Until is { } day ? AnswerWords.OfDate(day, say) : null,
                row.Question is { Answer: not null, ReadAt: null }, row.Question is { Answer: null } open ? AnswerWords.OfDate(open.AskedAt.InZone(zone).Date, say) : null));
        }

        Asked = [.. lines.Where(l => l.AskedOn is not null)];
        Waiting = [.. lines.Except(Asked).OrderByDescending(l => l.SoundsUrgent).ThenByDescending(l => l.HasAnswered)];      // a stable sort: the oldest stays first
    }
}
