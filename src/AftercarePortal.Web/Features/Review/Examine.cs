using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Keeps what an examination found, and the range that follows from it beside the first one; or only who is to treat.</summary>
internal sealed class Examine(PortalDb db, ContentLibrary content, MakeQuote quote, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Kept : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        /// <summary>Somebody examined since the page was opened.</summary>
        public sealed record Meanwhile(string By) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="seen">How many examinations the clinician had seen.</param>
    public async Task<Outcome> Run(Guid id, int seen, ExaminationForm form, string person, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await db.Intakes.SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return new Outcome.NotFound();
        var before = await db.LatestExaminationOf(id, stop);
        if (before?.Number > seen) return new Outcome.Meanwhile(before.ExaminedBy);
        if (seen != (before?.Number ?? 0)) return new Outcome.Refused([OpenedAt.Never]);
        var clinic = await db.Clinics.SingleAsync(c => c.Id == intake.ClinicId, stop);
        var today = now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;
        var kept = await db.IntakeAnswers.AsNoTracking().Where(a => a.IntakeId == id).ToDictionaryAsync(a => a.LinkId, stop);
        var staff = await db.NamesWhoMayTreat(stop);
        var opened = new OpenIntake.Opened(intake, clinic, today, content.Shelf.For(intake.Questionnaire, today).ByLanguage[intake.Language], content.Pages[intake.Language], kept);

        // decide
        var row = new ExaminationRow { IntakeId = id, Number = seen + 1, ExaminedBy = person, ExaminedAt = now };
        var faults = form.ReadInto(row, staff, before);
        if (faults.Count > 0) return new Outcome.Refused(faults);

        // write
        db.Add(row);
        if (row.HasFindings)                                                       // a range "after the examination" needs one
        {
            await quote.Run(clinic, id, opened.Answers, today, (row.Id, row.Findings()), row.Injector, now, stop);
            var made = db.ChangeTracker.Entries<QuoteRow>().Select(e => e.Entity).SingleOrDefault();
            if (await db.LatestDecisionOf(id, stop) is { Decision: Decision.Accepted }) intake.NarrowerQuote = made?.Id;
        }

        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await db.LatestExaminationOf(id, stop) is { } latest && latest.Number > seen) return new Outcome.Meanwhile(latest.ExaminedBy);
            throw;
        }

        return new Outcome.Kept();
    }
}
