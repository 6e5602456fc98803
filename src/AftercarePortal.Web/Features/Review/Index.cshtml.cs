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
    /// <param name="AskedOn">Day a question was asked that is still open; null: none.</param>
    public sealed record Line(Guid Id, string Name, string SentOn, int ClearFirst, int Wait, int Discuss, int ForStaff, bool SoundsUrgent, string? DeferredUntil, bool HasAnswered, string? AskedOn);

    /// <summary>Urgent words first, then answers nobody has read, then the oldest.</summary>
    public IReadOnlyList<Line> Waiting { get; private set; } = [];

    /// <summary>Those who were asked something and have not answered yet, and of whom no answer waits to be read.</summary>
    public IReadOnlyList<Line> Asked { get; private set; } = [];

    public async Task OnGetAsync(CancellationToken stop)
    {
        var zone = DateTimeZoneProviders.Tzdb[(await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop)).Zone];
        var today = time.GetCurrentInstant().InZone(zone).Date;
        var (decisions, questions, results) = (db.Decisions, db.Questions, db.IntakeResults);
        var rows = await (
            from intake in db.Intakes.AsNoTracking()
            where intake.SubmittedAt != null
            let latest = decisions.Where(d => d.IntakeId == intake.Id).OrderByDescending(d => d.Number).FirstOrDefault()
            let asked = questions.Where(q => q.IntakeId == intake.Id && q.Answer == null && q.ClosedAt == null).Max(q => (Instant?)q.AskedAt)
            let answered = questions.Any(q => q.IntakeId == intake.Id && q.Answer != null && q.ReadAt == null)
            where latest == null || latest.Decision == Decision.Deferred || asked != null || answered
            orderby intake.SubmittedAt
            select new
            {
                intake.Id, intake.Name, intake.SubmittedAt, Until = latest == null ? null : latest.Until, AskedAt = asked, HasAnswered = answered, Urgent = questions.Any(q => q.IntakeId == intake.Id && q.ReadAt == null && q.SoundsUrgent),
                Result = results.Where(r => r.IntakeId == intake.Id).OrderByDescending(r => r.AnswersVersion).ThenByDescending(r => r.MadeAt).ThenByDescending(r => r.Id).Select(r => r.Json).First(),
            }).ToListAsync(stop);
        var say = content.Pages[PageWords.Languages[0]];
        var lines = new List<Line>();
        foreach (var row in rows.Where(r => r.Until is not { } until || until <= today || r.AskedAt is not null || r.HasAnswered))
        {
            var result = IntakeResult.FromJson(row.Result);
            int Count(FindingKind kind) => FindingsForStaff.ReadOf(result, kind);
            lines.Add(new(
                row.Id, row.Name!, AnswerWords.OfDate(row.SubmittedAt!.Value.InZone(zone).Date, say),
                Count(FindingKind.ClearFirst), Count(FindingKind.Wait), Count(FindingKind.Discuss), result.Findings.Count(f => f.ForClinician), result.WordsSoundUrgent || row.Urgent,
                row.Until is { } day ? AnswerWords.OfDate(day, say) : null,
                row.HasAnswered, row.AskedAt is { } asked ? AnswerWords.OfDate(asked.InZone(zone).Date, say) : null));
        }

        Asked = [.. lines.Where(l => l is { AskedOn: not null, HasAnswered: false })];
        Waiting = [.. lines.Except(Asked).OrderByDescending(l => l.SoundsUrgent).ThenByDescending(l => l.HasAnswered)];      // a stable sort: the oldest stays first
    }
}
