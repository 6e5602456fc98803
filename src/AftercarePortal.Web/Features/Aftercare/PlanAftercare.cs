using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Makes the dated steps of one signed treatment, each with the job that sends it. A patient has one plan: it takes over from the one before. May run twice; plans once.</summary>
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
        var others = await db.Treatments.AsNoTracking().Include(t => t.Placements).Where(t => t.PatientId == treatment.PatientId && t.Id != treatmentId).ToListAsync(stop);
        var open = await db.Steps.Where(s => s.PatientId == treatment.PatientId && s.State == StepState.Planned).ToListAsync(stop);
        open.AddRange(await LetGo(treatment.PatientId, stop));
        var planned = await db.Steps.Where(s => s.PatientId == treatment.PatientId).Select(s => s.TreatmentId).Distinct().ToListAsync(stop);

        // decide
        if (others.Exists(t => t.SignedAt > treatment.SignedAt && planned.Contains(t.Id))) return;      // that plan took this treatment in
        var earlier = others.Where(t => t.SignedAt <= treatment.SignedAt || !planned.Contains(t.Id)).Select(t => Of(t)).ToList();
        var plan = content.Aftercare.PlanFor(Of(treatment), earlier, DateTimeZoneProviders.Tzdb[clinic.Zone], new(clinic.QuietFrom, clinic.QuietTo));

        // write
        foreach (var old in open) (old.State, old.StateAt, old.Reason) = (StepState.TakenOver, now, "a later treatment");
        foreach (var step in plan.Steps)
        {
            var row = RowOf(step, treatment, StepState.Planned, step.TextId == step.Step.TextId ? null : content.Aftercare.Rules.Version.ToString(), now);
            db.Add(row);
            db.Enqueue(SendStep, row.Id.ToString(), step.DueAt, JobTable.EverydayLane);
        }

        foreach (var leftOut in plan.LeftOut) db.Add(RowOf(leftOut.Step, treatment, StepState.LeftOut, Why(leftOut.Why), now));
        await db.SaveChangesAsync(stop);
    }

    // Let go under the old plan and not handed to the carrier yet.
    private async Task<List<StepRow>> LetGo(Guid patient, CancellationToken stop)
    {
        var steps = (await db.Steps.Where(s => s.PatientId == patient && s.State == StepState.Sent).ToListAsync(stop)).ToDictionary(s => StepText.Key(s.Id));
        var waiting = await db.Outgoing.Where(o => o.State == OutgoingState.Pending && steps.Keys.Contains(o.Key)).Select(o => o.Key).ToListAsync(stop);
        return waiting.ConvertAll(key => steps[key]);
    }

    private static Given Of(TreatmentRow treatment) => new(treatment.TreatedOn, treatment.SignedAt, [.. treatment.Placements.Select(p => p.ProductClass).Distinct()]);

    private static string Why(LeftOutReason reason) => reason switch
    {
        LeftOutReason.SaferStepThatDay => "a safer step that day",
        LeftOutReason.WithinAnHour => "too close to a safer step",
        LeftOutReason.OppositeAdvice => "opposite advice: tell the patient in person",
        _ => "due before signing",
    };

    private static StepRow RowOf(PlannedStep planned, TreatmentRow treatment, StepState state, string? reason, Instant now) => new()
    {
        ClinicId = treatment.ClinicId, TreatmentId = treatment.Id, PatientId = treatment.PatientId, StepId = planned.Step.Id, From = planned.From.ToString(),
        Kind = planned.Step.Kind, TextId = planned.TextId, DueAt = planned.DueAt, Day = planned.Step.Day, MissedWithinHours = planned.Step.Missed.WithinHours, MissedThen = planned.Step.Missed.Then,
        State = state, Reason = reason, StateAt = now,
    };
}
