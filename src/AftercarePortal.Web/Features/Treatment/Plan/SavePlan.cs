using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>Keeps one more version of a patient's plan. Of two people who save over one another the second is told.</summary>
internal sealed class SavePlan(PortalDb db, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Saved : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        /// <summary>Somebody saved since the form was opened: their version.</summary>
        public sealed record Meanwhile(TreatmentPlanRow Theirs) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="seen">Version the form was opened at; 0: there was none.</param>
    public async Task<Outcome> Run(Guid patientId, int seen, PlanForm form, string person, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (!await db.Patients.AnyAsync(p => p.Id == patientId, stop)) return new Outcome.NotFound();
        var latest = await db.LatestPlanOf(patientId, stop);
        if (latest is not null && latest.Number > seen) return new Outcome.Meanwhile(latest);
        if (seen != (latest?.Number ?? 0)) return new Outcome.Refused([OpenedAt.Never]);

        // decide
        if (form.Faults() is { Count: > 0 } faults) return new Outcome.Refused(faults);

        // write
        db.Add(new TreatmentPlanRow
        {
            PatientId = patientId, Number = seen + 1, Adjuncts = form.Adjuncts?.Trim() ?? "", Note = form.Note?.Trim() ?? "", SavedBy = person, SavedAt = now,
            Lines =
            [
                .. form.Lines.Where(l => !l.IsBlank).Select((l, i) => (Line: l, Deposit: l.Draft.Deposit!, Ordinal: i + 1)).Select(l => new PlanLineRow
                {
                    Ordinal = l.Ordinal, Region = l.Deposit.Region, Side = l.Deposit.Side, ProductClass = l.Deposit.ProductClass, Hundredths = (int)(l.Deposit.Amount * 100), Device = l.Line.Device?.Trim() ?? "",
                }),
            ],
        });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await db.LatestPlanOf(patientId, stop) is { } other && other.Number > seen) return new Outcome.Meanwhile(other);
            throw;
        }

        return new Outcome.Saved();
    }
}
