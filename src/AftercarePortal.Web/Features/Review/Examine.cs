using AftercarePortal.Clinical.Pricing;
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
        var staff = await db.NamesWhoMayTreat(stop);
        var photos = await PhotoAngles.Of(db, id, stop);

        // decide
        var row = new ExaminationRow { IntakeId = id, Number = seen + 1, ExaminedBy = person, ExaminedAt = now };
        var faults = form.ReadInto(row, staff, before);
        if (faults.Count > 0) return new Outcome.Refused(faults);
        row.PlacedSdTenths = photos.PlacedSdTenths(row.LeftTenths, row.RightTenths);
        // An angle that stays as it was keeps its error, also when the photo was measured anew since.
        if (before is { PlacedSdTenths: > 0 } && (row.LeftTenths == before.LeftTenths || row.RightTenths == before.RightTenths)) row.PlacedSdTenths = Math.Max(row.PlacedSdTenths, before.PlacedSdTenths);

        // write
        db.Add(row);
        if (row.HasFindings)                                                       // a range "after the examination" needs one
        {
            await Range(intake, clinic, row, now, stop);
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

    /// <summary>Why no range can be said after this examination, as things are now; empty: one could be.</summary>
    /// <param name="examination">With findings.</param>
    public async Task<IReadOnlyList<string>> WhyNoRange(IntakeRow intake, ExaminationRow examination, CancellationToken stop)
    {
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == intake.ClinicId, stop);
        var outcome = await Range(intake, clinic, examination, time.GetCurrentInstant(), stop);
        db.ChangeTracker.Clear();                                                  // asked only: nothing is kept
        return outcome is PriceOutcome.CannotSayYet { Because: var reasons } ? reasons : [];
    }

    // Added to the unit of work.
    private async Task<PriceOutcome> Range(IntakeRow intake, ClinicRow clinic, ExaminationRow examination, Instant now, CancellationToken stop)
    {
        var today = now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;
        var kept = await db.IntakeAnswers.AsNoTracking().Where(a => a.IntakeId == intake.Id).ToDictionaryAsync(a => a.LinkId, stop);
        var opened = new OpenIntake.Opened(intake, clinic, today, content.Shelf.For(intake.Questionnaire, today).ByLanguage[intake.Language], content.Pages[intake.Language], kept);
        return await quote.Run(clinic, intake.Id, opened.Answers, today, (examination.Id, examination.Findings()), examination.Injector, now, stop);
    }
}
