using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Escalations;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Whether a step may go now: STOP, agreement, lateness, open report. Asked when it is due and again right before it is sent.</summary>
internal sealed class MayGo(PortalDb db, ContentLibrary content)
{
    private static readonly Duration LookAgain = Duration.FromHours(1);

    /// <summary>What is known of a step's patient at an instant.</summary>
    /// <param name="Stopped">The number's last word was STOP.</param>
    /// <param name="Newer">Another step of the patient is due soon, which can speak for one that is too late.</param>
    /// <param name="LastWent">When the carrier was first asked to take the last step that went to the number, or may have gone; null: none did.</param>
    /// <param name="LastWaiting">When the last step that waits to go to the number was let go; null: none waits.</param>
    /// <param name="Reports">Tiers of the patient's open reports.</param>
    public sealed record Facts(PatientRow Patient, ClinicRow Clinic, bool Stopped, bool Newer, Instant? LastWent, Instant? LastWaiting, IReadOnlyList<Tier> Reports);

    /// <summary>Reads them in three questions, for one step or for many: thousands may be due in one minute.</summary>
    /// <returns>Step id → what is known.</returns>
    public async Task<IReadOnlyDictionary<Guid, Facts>> About(IReadOnlyList<StepRow> steps, Instant now, CancellationToken stop)
    {
        var ids = steps.Select(s => s.Id).ToList();
        var soon = now + Duration.FromDays(1);
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
        var rows = await (
            from step in db.Steps.AsNoTracking()
            join patient in db.Patients.AsNoTracking() on step.PatientId equals patient.Id
            where ids.Contains(step.Id)
            select new
            {
                step.Id,
                Patient = patient,
                Stopped = db.Set<OptOutRow>().Where(o => o.Number == patient.Number).OrderByDescending(o => o.At).ThenByDescending(o => o.Id).Select(o => (bool?)o.Stopped).FirstOrDefault(),
                Newer = db.Set<StepRow>().Any(s => s.PatientId == patient.Id && s.Id != step.Id && s.State == StepState.Planned && s.DueAt > step.DueAt && s.DueAt <= soon),
                LastWent = db.Set<OutgoingRow>().Where(o => o.To == patient.Number && o.Kind == OutgoingKind.Step && (o.State == OutgoingState.Accepted || o.State == OutgoingState.Calling || o.State == OutgoingState.Unclear)).Max(o => o.FirstTriedAt),
                LastWaiting = db.Set<OutgoingRow>().Where(o => o.To == patient.Number && o.Kind == OutgoingKind.Step && o.State == OutgoingState.Pending).Max(o => (Instant?)o.MadeAt),
            }).ToListAsync(stop);
        var (numbers, patients) = (rows.ConvertAll(row => row.Patient.Number), rows.ConvertAll(row => (Guid?)row.Patient.Id));
        // The one open report of a number, and those of a patient, also one that began at another number.
        var reports = await db.Set<EscalationRow>().AsNoTracking().Where(e => e.ClosedAt == null && (numbers.Contains(e.OpenKey) || patients.Contains(e.PatientId))).Select(e => new { e.OpenKey, e.PatientId, e.Tier }).ToListAsync(stop);
        return rows.ToDictionary(row => row.Id, row => new Facts(
            row.Patient, clinic, row.Stopped is true, row.Newer, row.LastWent, row.LastWaiting, [.. reports.Where(r => r.OpenKey == row.Patient.Number || r.PatientId == row.Patient.Id).Select(r => r.Tier)]));
    }

    /// <param name="last">The other step of the number it must be apart from; null: none.</param>
    /// <returns>Sent: it may go. Planned: not before <c>Again</c>. Anything else: never, and why.</returns>
    public (StepState State, Instant? Again) Decide(StepRow step, Facts facts, Instant? last, Instant now) =>
        (facts.Patient.AgreedToTextsAt is null, facts.Stopped, new WhenMissed(step.MissedWithinHours, step.MissedThen).At(step.DueAt, now)) switch
        {
            (true, _, _) => (StepState.NotAgreed, null),
            (_, true, _) => (StepState.Stopped, null),
            (_, _, MissedAction.Skip) => (StepState.TooLate, null),
            (_, _, MissedAction.Merge) when facts.Newer => (StepState.Merged, null),
            _ when content.Aftercare.Rules.Holds(step.Kind, facts.Reports) => (StepState.Planned, now + LookAgain),       // a person is speaking with the patient
            _ when last + Duration.FromMinutes(content.Aftercare.Rules.ApartMinutes) is var apart && apart > now => (StepState.Planned, apart),
            _ => (StepState.Sent, null),
        };
}
