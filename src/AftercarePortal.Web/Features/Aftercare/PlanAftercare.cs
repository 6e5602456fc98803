using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Makes the dated steps of one signed treatment, each with the job that sends it. May run twice; plans once.</summary>
internal sealed class PlanAftercare(PortalDb db, ContentLibrary content, TimeProvider time) : IJobHandler
{
    /// <summary>Kind of the job that sends one step; its subject is the step's id.</summary>
    public const string SendStep = "send-step";

    public string Kind => SignRecord.PlanAftercare;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var treatmentId = Guid.Parse(subject);
        if (await db.Steps.AnyAsync(s => s.TreatmentId == treatmentId, stop)) return;
        var treatment = await db.Treatments.AsNoTracking().Include(t => t.Placements).SingleAsync(t => t.Id == treatmentId, stop);
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == treatment.ClinicId, stop);

        // decide
        var record = RecordOf(treatment);
        var plan = content.Aftercare.PlanFor(record, DateTimeZoneProviders.Tzdb[clinic.Zone], new(clinic.QuietFrom, clinic.QuietTo));

        // write
        foreach (var planned in plan.Steps)
        {
            var row = RowOf(planned, treatment, StepState.Planned, now);
            db.Add(row);
            db.Enqueue(SendStep, row.Id.ToString(), planned.DueAt, lane: 9);
        }

        foreach (var leftOut in plan.LeftOut) db.Add(RowOf(leftOut.Step, treatment, StepState.LeftOut, now));
        await db.SaveChangesAsync(stop);
    }

    private static TreatmentRecord RecordOf(TreatmentRow treatment) =>
        TreatmentRecord.Sign(treatment.TreatedOn, treatment.TreatedOn, treatment.SignedAt,
        [
            .. treatment.Placements.OrderBy(p => p.Ordinal).Select(p => new Placement(
                p.Region, p.Side, p.HundredthsMl is { } ml ? Volume.OfMl(ml / 100m) : null, p.TenthsUnits / 10m, p.Plane, p.Device, p.ProductName, p.ProductClass, p.Lot, p.Expiry)),
        ]) is TreatmentRecord.Outcome.Made signed
            ? signed.Record
            : throw new InvalidOperationException("A signed record does not hold what a record must hold.");       // parked after its tries: a person must look

    private static StepRow RowOf(PlannedStep planned, TreatmentRow treatment, StepState state, Instant now) => new()
    {
        ClinicId = treatment.ClinicId, TreatmentId = treatment.Id, PatientId = treatment.PatientId, StepId = planned.Step.Id, From = planned.From.ToString(),
        TextId = planned.Step.TextId, DueAt = planned.DueAt, MissedWithinHours = planned.Step.Missed.WithinHours, MissedThen = planned.Step.Missed.Then,
        State = state, StateAt = now,
    };
}
