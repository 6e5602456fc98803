using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>Keeps that a patient accepted one version of the plan on the clinic's screen, with every word that stood there. Sent twice, it is kept once.</summary>
internal sealed class AcceptPlan(PortalDb db, ContentLibrary content, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Accepted : Outcome;
        /// <param name="Reasons">In the patient's language.</param>
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <summary>What a patient reads now.</summary>
    /// <param name="Bytes">The text as it is kept once accepted.</param>
    public sealed record Shown(PatientRow Patient, TreatmentPlanRow Plan, QuoteRow? Quote, PageWords Say, byte[] Bytes)
    {
        public string Hash => ReadText.HashOf(Bytes);
    }

    /// <summary>The plan in force and its range, in the patient's language; null: no such patient or no plan.</summary>
    public async Task<Shown?> Read(Guid patientId, CancellationToken stop)
    {
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == patientId, stop) is not { } patient || await db.LatestPlanOf(patientId, stop) is not { } plan) return null;
        var quote = await RangeOf(patientId, stop);
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        return new(patient, plan, quote, content.WordsHandedOver(patient.Language), ReadText.BytesOf(PlanText.Of(plan, patient.Name, quote, zone, content, patient.Language)));
    }

    /// <summary>Keeps the acceptance of the plan in force; refused when it has changed, or name or tick are not there.</summary>
    /// <param name="read">Hash of what stood on the screen.</param>
    /// <param name="typedName">The patient's name, as the patient typed it.</param>
    /// <param name="handedOverBy">Full name of whoever handed over the screen.</param>
    public async Task<Outcome> Run(Guid patientId, string? read, string? typedName, bool agrees, string handedOverBy, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await Read(patientId, stop) is not { } shown) return new Outcome.NotFound();
        if (await db.PlanAcceptances.AnyAsync(a => a.PlanId == shown.Plan.Id, stop)) return new Outcome.Accepted();

        // decide
        var reasons = new List<string>();
        if (read != shown.Hash) reasons.Add(shown.Say["plan-changed"]);
        if (!string.Equals(typedName?.Trim(), shown.Patient.Name.Trim(), StringComparison.CurrentCultureIgnoreCase)) reasons.Add(shown.Say["wrong-name"]);
        if (!agrees) reasons.Add(shown.Say["plan-tick"]);
        if (reasons.Count > 0) return new Outcome.Refused(reasons);

        // write
        db.Add(new PlanAcceptanceRow
        {
            PlanId = shown.Plan.Id, PatientId = patientId, SignedAs = typedName!.Trim(), HandedOverBy = handedOverBy, AcceptedAt = now, QuoteId = shown.Quote?.Id,
            Language = shown.Say.Language, Bytes = shown.Bytes, Hash = shown.Hash,
        });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (!await db.PlanAcceptances.AnyAsync(a => a.PlanId == shown.Plan.Id, stop)) throw;      // two taps at once: the other one kept it
        }

        return new Outcome.Accepted();
    }

    // After the examination of the intake this patient sent, as was decided last.
    private async Task<QuoteRow?> RangeOf(Guid patientId, CancellationToken stop)
    {
        var later = db.Decisions;
        return await db.Decisions.AsNoTracking().Where(d => d.PatientId == patientId && !later.Any(l => l.IntakeId == d.IntakeId && l.Number > d.Number && l.PatientId != null))
            .OrderByDescending(d => later.Where(first => first.IntakeId == d.IntakeId && first.PatientId != null).Min(first => first.DecidedAt)).Select(d => (Guid?)d.IntakeId).FirstOrDefaultAsync(stop) is { } intake
            ? await db.RangeAfterExamination(intake, stop)
            : null;
    }
}
