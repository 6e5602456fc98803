using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>The one plan of a patient: what of it is still to come, what it would be, and how it is kept. Saves nothing by itself.</summary>
internal sealed class PatientPlan(PortalDb db, ContentLibrary content)
{
    /// <summary>Steps to come, and those let go and not handed to the carrier yet.</summary>
    public async Task<IReadOnlyList<StepRow>> Open(Guid patient, CancellationToken stop)
    {
        var steps = await db.Steps.Where(s => s.PatientId == patient && (s.State == StepState.Planned || s.State == StepState.Sent)).ToListAsync(stop);
        var keys = steps.Where(s => s.State is StepState.Sent).Select(s => StepText.Key(s.Id)).ToList();
        var waiting = await db.Outgoing.Where(o => o.State == OutgoingState.Pending && keys.Contains(o.Key)).Select(o => o.Key).ToHashSetAsync(stop);
        return [.. steps.Where(s => s.State is StepState.Planned || waiting.Contains(StepText.Key(s.Id)))];
    }

    /// <param name="said">As of <see cref="AftercareSequences.PlanFor"/>.</param>
    /// <param name="from">What was due before is past, but for the newest safety text of the latest record.</param>
    public async Task<AftercarePlan> Of(TreatmentRow latest, IEnumerable<TreatmentRow> earlier, Instant from, CancellationToken stop, Func<PlannedStep, bool>? said = null)
    {
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == latest.ClinicId, stop);
        TreatmentRow[] before = [.. earlier];
        return content.Aftercare.PlanFor(latest.Given([.. before, latest]) with { Signed = from }, [.. before.Select(t => t.Given([.. before, latest]))], DateTimeZoneProviders.Tzdb[clinic.Zone], new(clinic.QuietFrom, clinic.QuietTo), said);
    }

    /// <summary>Whether a step would say again what went out a short time before it.</summary>
    public bool SaysAgain(PlannedStep step, StepRow sent) =>
        (sent.TextId, sent.Kind) == (step.TextId, step.Step.Kind)
        && content.Aftercare.Rules.NotAgainWithinHours.TryGetValue(step.Step.Kind, out var hours) && step.DueAt - sent.StateAt < Duration.FromHours(hours);

    /// <summary>Adds the steps of a plan, each with the job that sends it.</summary>
    /// <param name="cause">As of <see cref="StepRow.Cause"/>.</param>
    public void Keep(AftercarePlan plan, TreatmentRow treatment, Guid cause, Instant now)
    {
        foreach (var step in plan.Steps)
        {
            var row = RowOf(step, treatment, cause, StepState.Planned, step.TextId == step.Step.TextId ? null : content.Aftercare.Rules.Version.ToString(), now);
            db.Add(row);
            db.Enqueue(PlanAftercare.SendStep, row.Id.ToString(), step.DueAt, JobTable.EverydayLane);
        }

        foreach (var leftOut in plan.LeftOut) db.Add(RowOf(leftOut.Step, treatment, cause, StepState.LeftOut, Why(leftOut.Why), now));
    }

    private static string Why(LeftOutReason reason) => reason switch
    {
        LeftOutReason.SaferStepThatDay => "a safer step that day",
        LeftOutReason.WithinAnHour => "too close to a safer step",
        LeftOutReason.SaidShortlyBefore => "said a short time before",
        LeftOutReason.TouchUp => "a touch-up does not ask for it anew",
        LeftOutReason.OppositeAdvice => "opposite advice: tell the patient in person",
        _ => "due before signing",
    };

    private static StepRow RowOf(PlannedStep planned, TreatmentRow treatment, Guid cause, StepState state, string? reason, Instant now) => new()
    {
        ClinicId = treatment.ClinicId, TreatmentId = treatment.Id, PatientId = treatment.PatientId, Cause = cause, StepId = planned.Step.Id, From = planned.From.ToString(),
        Kind = planned.Step.Kind, TextId = planned.TextId, DueAt = planned.DueAt, Day = planned.Step.Day, MissedWithinHours = planned.Step.Missed.WithinHours, MissedThen = planned.Step.Missed.Then,
        State = state, Reason = reason, StateAt = now,
    };
}
