using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Makes a patient's plan anew from the records that hold, after one was put right or found void: what the wrong record asked for is withdrawn, and a plan it took over runs again. May run twice; plans once.</summary>
internal sealed class PlanAnew(PortalDb db, PatientPlan plans, TimeProvider time) : IJobHandler
{
    public string Kind => SignRecord.PlanAnew;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var addendumId = Guid.Parse(subject);
        var addendum = await db.Addenda.AsNoTracking().SingleAsync(a => a.Id == addendumId, stop);
        var patientId = await db.Treatments.Where(t => t.Id == addendum.TreatmentId).Select(t => t.PatientId).SingleAsync(stop);
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await db.HoldPatient(patientId, stop);                                      // as in PlanAftercare
        if (await db.Steps.AnyAsync(s => s.Cause == addendumId, stop)) return;
        var records = (await db.RecordsThatHold(patientId, stop)).Where(t => !t.WasStopped).ToList();
        var open = await plans.Open(patientId, stop);
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == addendum.ClinicId).Select(c => c.Zone).SingleAsync(stop)];

        var (said, settled) = await SoFar(patientId, stop);

        // decide
        var plan = records.Count > 0 ? await plans.Of(records[0], records.Skip(1), now, stop, Said) : null;

        // write
        foreach (var step in open)
            (step.State, step.StateAt, step.Reason) = (StepState.Withdrawn, now, records.Any(r => r.Id == step.TreatmentId) ? "a record was put right: planned anew" : "the record does not hold");
        if (plan is not null) plans.Keep(plan, records[0], addendumId, now);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);

        // A text that is due anew on the day it went already is not sent again; one that is late, and would go at once, not when it went or was settled otherwise
        // since the treatment. What was said for one class was not said for another that is to be named beside it.
        bool Said(PlannedStep step)
        {
            var day0 = records.Where(r => r.Placements.Exists(p => p.ProductClass == step.For)).Max(r => r.TreatedOn);
            var late = StepTimes.DueAt(day0, step.Step.Day, step.Step.At, zone) < now;
            return said.Exists(s => plans.SaysAgain(step, s) || (Same(s) && (s.TextId == step.TextId || step.TextId == step.Step.TextId)
                    && (late ? s.StateAt.InZone(zone).Date >= day0 : s.DueAt.InZone(zone).Date == step.DueAt.InZone(zone).Date)))
                || (late && settled.Exists(s => Same(s) && s.StateAt.InZone(zone).Date >= day0));

            bool Same(StepRow s) => (Sequence(s.From), s.StepId) == (Sequence(step.From.ToString()), step.Step.Id);
        }
    }

    // The sequence, whatever its version.
    private static string Sequence(string from) => from.Split('.')[0];

    // What went or may have gone, and what was settled without going; what the carrier refused or was held back was not said.
    private async Task<(List<StepRow> Said, List<StepRow> Settled)> SoFar(Guid patientId, CancellationToken stop)
    {
        var steps = await db.Steps.AsNoTracking().Where(s => s.PatientId == patientId && s.State != StepState.Planned).ToListAsync(stop);
        var keys = steps.Where(s => s.State is StepState.Sent).Select(s => StepText.Key(s.Id)).ToList();
        var went = await db.Outgoing.Where(o => keys.Contains(o.Key) && (o.State == OutgoingState.Accepted || o.State == OutgoingState.Calling || o.State == OutgoingState.Unclear)).Select(o => o.Key).ToHashSetAsync(stop);
        return (
            [.. steps.Where(s => s.State is StepState.Sent && went.Contains(StepText.Key(s.Id)))],
            [.. steps.Where(s => s.State is StepState.TooLate or StepState.Merged or StepState.NotAgreed or StepState.Stopped)]);
    }
}
