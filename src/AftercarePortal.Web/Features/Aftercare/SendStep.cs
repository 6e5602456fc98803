using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Sends one step, or says why not. Everything is looked at anew when it is due: STOP, agreement, open report, quiet hours, lateness.</summary>
internal sealed class SendStep(PortalDb db, ContentLibrary content, TimeProvider time) : IJobHandler
{
    private static readonly Duration LookAgain = Duration.FromHours(1);
    private Duration Apart => Duration.FromMinutes(content.Aftercare.Rules.ApartMinutes);

    public string Kind => PlanAftercare.SendStep;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var stepId = Guid.Parse(subject);
        var step = await db.Steps.SingleAsync(s => s.Id == stepId, stop);
        if (step.State is not StepState.Planned) return;
        var patient = await db.Patients.AsNoTracking().SingleAsync(p => p.Id == step.PatientId, stop);
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == step.ClinicId, stop);
        var reports = await db.Escalations.AsNoTracking().Where(e => e.OpenKey == patient.Number).Select(e => e.Tier).ToListAsync(stop);
        var soon = now + Duration.FromDays(1);
        var newer = await db.Steps.AnyAsync(s => s.PatientId == step.PatientId && s.Id != step.Id && s.State == StepState.Planned && s.DueAt > step.DueAt && s.DueAt <= soon, stop);
        var lastSent = await db.Steps.Where(s => s.PatientId == step.PatientId && s.State == StepState.Sent).MaxAsync(s => (Instant?)s.StateAt, stop);

        // decide
        var opensAt = new QuietHours(clinic.QuietFrom, clinic.QuietTo).MoveOut(now, DateTimeZoneProviders.Tzdb[clinic.Zone]);
        var missed = new WhenMissed(step.MissedWithinHours, step.MissedThen).At(step.DueAt, now);
        var (state, again) = (patient.AgreedToTextsAt is null, await db.HasStopped(patient.Number, stop), missed) switch
        {
            (true, _, _) => (StepState.NotAgreed, (Instant?)null),
            (_, true, _) => (StepState.Stopped, null),
            (_, _, MissedAction.Skip) => (StepState.TooLate, null),
            (_, _, MissedAction.Merge) when newer => (StepState.Merged, null),
            _ when content.Aftercare.Rules.Holds(step.Kind, reports) => (StepState.Planned, now + LookAgain),       // a person is speaking with the patient
            _ when lastSent + Apart > now => (StepState.Planned, lastSent + Apart),
            _ when opensAt > now => (StepState.Planned, opensAt),
            _ => (StepState.Sent, null),
        };

        // write
        if (again is { } later) db.Enqueue(Kind, subject, later, lane: 9);
        if (state is StepState.Sent)
            await db.QueueOnce($"step:{step.Id}", OutgoingKind.Step, clinic.PatientNumber, patient.Number, content.Texts.In(patient.Language).Fill(step.TextId, clinic), now, stop,
                asks: content.Replies.CheckIn.AskedBy.Contains(step.TextId) ? OutgoingAsk.CheckIn : null);
        if (state is not StepState.Planned) (step.State, step.StateAt) = (state, now);
        await db.SaveChangesAsync(stop);
    }
}
