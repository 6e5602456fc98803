using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>The open report of a patient goes along when her number is changed.</summary>
internal sealed class ReportsGoAlong(PortalDb db) : IAnotherNumber
{
    public Task<bool> HasStopped(string number, CancellationToken stop) => db.HasStopped(number, stop);

    public async Task TakeAlong(PatientRow patient, string reached, Instant now, CancellationToken stop)
    {
        var taken = await db.Escalations.AnyAsync(e => e.OpenKey == reached, stop);                     // the new number may have a report of its own
        var theirs = await db.Escalations.Where(e => e.PatientId == patient.Id && e.ClosedAt == null && !e.FromIntake && e.OpenKey != reached).ToListAsync(stop);
        foreach (var open in theirs.WorstFirst().OrderByDescending(e => e.OpenKey == patient.Number))
        {
            db.Note(open, EscalationEvent.NumberChanged, now);
            (open.Turn, open.Number) = (open.Turn + 1, reached);
            if (!taken) (open.OpenKey, taken) = (reached, true);
        }
    }
}
