using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Lets one step go, or says why not. Everything is looked at anew when it is due: STOP, agreement, open report, quiet hours, lateness.</summary>
internal sealed class SendStep(PortalDb db, MayGo mayGo, ContentLibrary content, TimeProvider time) : IJobHandler
{
    private Duration Apart => Duration.FromMinutes(content.Aftercare.Rules.ApartMinutes);

    public string Kind => PlanAftercare.SendStep;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var stepId = Guid.Parse(subject);
        var step = await db.Steps.SingleAsync(s => s.Id == stepId, stop);
        if (step.State is not StepState.Planned) return;
        var facts = await mayGo.About(step, now, stop);
        var (patient, clinic) = (facts.Patient, facts.Clinic);

        // decide
        var opensAt = new QuietHours(clinic.QuietFrom, clinic.QuietTo).MoveOut(now, DateTimeZoneProviders.Tzdb[clinic.Zone]);
        var (state, again) = mayGo.Decide(step, facts, now);
        if (state is StepState.Sent && facts.LastSent + Apart > now) (state, again) = (StepState.Planned, facts.LastSent + Apart);
        else if (state is StepState.Sent && opensAt > now) (state, again) = (StepState.Planned, opensAt);

        // write
        if (again is { } later) db.Enqueue(Kind, subject, later, lane: 9);
        if (state is StepState.Sent)
            await db.QueueOnce(StepText.Key(step.Id), OutgoingKind.Step, clinic.PatientNumber, patient.Number, StepText.Words(content, step, facts, now), now, stop,
                asks: content.Replies.CheckIn.AskedBy.Contains(step.TextId) ? OutgoingAsk.CheckIn : null);
        if (state is not StepState.Planned) (step.State, step.StateAt) = (state, now);
        await db.SaveChangesAsync(stop);
    }
}
