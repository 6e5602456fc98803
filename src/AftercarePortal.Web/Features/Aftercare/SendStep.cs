using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Lets steps go, or says why not. Everything is looked at anew when it is due: STOP, agreement, open report, quiet hours, lateness.</summary>
internal sealed class SendStep(PortalDb db, MayGo mayGo, ContentLibrary content, TimeProvider time) : IJobsTogether
{
    public string Kind => PlanAftercare.SendStep;

    public int Most => 200;

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await LetGo(await Planned([subject], stop), now, stop);
    }

    /// <inheritdoc />
    /// <remarks>The second step of a patient goes back: what became of the first decides on it.</remarks>
    public async Task<IReadOnlyCollection<string>> Run(IReadOnlyList<string> subjects, Instant until, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var planned = await Planned(subjects, stop);
        var first = planned.DistinctBy(s => s.PatientId).ToList();
        if (time.GetCurrentInstant() >= until) return [];
        await LetGo(first, now, stop);
        var second = planned.Except(first).Select(s => s.Id).ToHashSet();
        return [.. subjects.Where(s => !second.Contains(Guid.Parse(s)))];
    }

    // In the order they were asked for. Steps that are let go or given up already are left out.
    private async Task<IReadOnlyList<StepRow>> Planned(IReadOnlyList<string> subjects, CancellationToken stop)
    {
        var ids = subjects.Select(Guid.Parse).ToList();
        var steps = await db.Steps.Where(s => ids.Contains(s.Id)).ToDictionaryAsync(s => s.Id, stop);
        return [.. ids.Select(id => steps[id]).Where(s => s.State is StepState.Planned)];
    }

    private async Task LetGo(IReadOnlyList<StepRow> steps, Instant now, CancellationToken stop)
    {
        if (steps.Count == 0) return;
        var keys = steps.Select(s => StepText.Key(s.Id)).ToList();
        var facts = await mayGo.About(steps, now, stop);
        var queued = await db.Outgoing.Where(o => keys.Contains(o.Key)).Select(o => o.Key).ToHashSetAsync(stop);
        foreach (var step in steps) LetGo(step, facts[step.Id], queued.Contains(StepText.Key(step.Id)), now);
        await db.SaveChangesAsync(stop);
    }

    private void LetGo(StepRow step, MayGo.Facts facts, bool queued, Instant now)
    {
        // decide
        var (patient, clinic) = (facts.Patient, facts.Clinic);
        var opensAt = new QuietHours(clinic.QuietFrom, clinic.QuietTo).MoveOut(now, DateTimeZoneProviders.Tzdb[clinic.Zone]);
        var last = queued ? null : Later(facts.LastWent, facts.LastWaiting);        // one that waits counts as well: the two would go one right after the other
        var (state, again) = mayGo.Decide(step, facts, last, now);
        if (state is StepState.Sent && opensAt > now) (state, again) = (StepState.Planned, opensAt);

        // write
        if (again is { } later) db.Enqueue(Kind, step.Id.ToString(), later, JobTable.EverydayLane);
        if (state is StepState.Sent && !queued)
            db.Queue(StepText.Key(step.Id), OutgoingKind.Step, clinic.PatientNumber, patient.Number, StepText.Words(content, step, facts, now), now,
                asks: content.Replies.CheckIn.AskedBy.Contains(step.TextId) ? OutgoingAsk.CheckIn : null);
        if (state is not StepState.Planned) (step.State, step.StateAt) = (state, now);
    }

    private static Instant? Later(Instant? one, Instant? other) => one > other || other is null ? one : other;
}
