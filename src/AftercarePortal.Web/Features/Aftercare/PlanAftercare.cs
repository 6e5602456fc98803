using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Makes the dated steps of one signed treatment, each with the job that sends it. A patient has one plan: it takes over from the one before. May run twice; plans once.</summary>
internal sealed class PlanAftercare(PortalDb db, PatientPlan plans, TimeProvider time) : IJobHandler
{
    /// <summary>Kind of the job that sends one step; its subject is the step's id.</summary>
    public const string SendStep = "send-step";

    public string Kind => SignRecord.PlanAftercare;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var treatmentId = Guid.Parse(subject);
        var patientId = await db.Treatments.Where(t => t.Id == treatmentId).Select(t => t.PatientId).SingleAsync(stop);
        await using var all = await db.Database.BeginTransactionAsync(stop);
        await db.HoldPatient(patientId, stop);                                      // two records planned at once would each see nothing of the other's steps
        if (await db.Steps.AnyAsync(s => s.TreatmentId == treatmentId, stop)) return;
        var records = await db.RecordsThatHold(patientId, stop);
        var open = await plans.Open(patientId, stop);
        var planned = await db.Steps.Where(s => s.PatientId == patientId).Select(s => s.TreatmentId).Distinct().ToListAsync(stop);

        // decide
        if (records.FirstOrDefault(t => t.Id == treatmentId) is not { } treatment) return;             // does not hold: an addendum said so already
        if (treatment.WasStopped) return;                                                              // nothing was placed: no sequence speaks of it, and a plan that runs goes on
        if (records.Any(t => t.SignedAt > treatment.SignedAt && planned.Contains(t.Id))) return;       // that plan took this treatment in
        var earlier = records.Where(t => t.Id != treatmentId && (t.SignedAt <= treatment.SignedAt || !planned.Contains(t.Id)));
        var plan = await plans.Of(treatment, earlier, treatment.SignedAt, stop);

        // write
        foreach (var old in open) (old.State, old.StateAt, old.Reason) = (StepState.TakenOver, now, "a later treatment");
        plans.Keep(plan, treatment, treatmentId, now);
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
    }
}
