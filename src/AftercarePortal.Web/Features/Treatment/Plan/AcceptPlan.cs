using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>Keeps that a patient accepted one version of the plan on the clinic's screen, with the range that stood there. Sent twice, it is kept once.</summary>
internal sealed class AcceptPlan(PortalDb db, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Accepted : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="number">Version that stood on the screen.</param>
    /// <param name="quote">Range that stood on the screen; null: none.</param>
    public async Task<Outcome> Run(Guid patientId, int number, Guid? quote, string? typedName, bool agrees, string clinician, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patientId, stop) is not { } patient || await db.LatestPlanOf(patientId, stop) is not { } plan) return new Outcome.NotFound();
        if (await db.PlanAcceptances.AnyAsync(a => a.PlanId == plan.Id, stop)) return new Outcome.Accepted();
        var range = await RangeOf(patientId, stop);

        // decide
        var reasons = new List<string>();
        if (plan.Number != number || range?.Id != quote) reasons.Add("The plan or its price range has changed since it was opened. Read it again, then accept.");
        if (!string.Equals(typedName?.Trim(), patient.Name.Trim(), StringComparison.CurrentCultureIgnoreCase)) reasons.Add("Patient: type your name as it stands at the top of this page.");
        if (!agrees) reasons.Add("Patient: tick that this is the plan you talked about, or leave it.");
        if (reasons.Count > 0) return new Outcome.Refused(reasons);

        // write
        db.Add(new PlanAcceptanceRow { PlanId = plan.Id, PatientId = patientId, SignedAs = typedName!.Trim(), Clinician = clinician, AcceptedAt = now, QuoteId = quote });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (!await db.PlanAcceptances.AnyAsync(a => a.PlanId == plan.Id, stop)) throw;      // two taps at once: the other one kept it
        }

        return new Outcome.Accepted();
    }

    /// <summary>The range after the examination of the intake this patient came from, or null.</summary>
    public async Task<QuoteRow?> RangeOf(Guid patientId, CancellationToken stop) =>
        await db.Decisions.AsNoTracking().Where(d => d.PatientId == patientId).OrderByDescending(d => d.DecidedAt).Select(d => (Guid?)d.IntakeId).FirstOrDefaultAsync(stop) is { } intake
            ? await db.LatestQuoteOf(intake, QuoteStage.Examined, stop)
            : null;
}
