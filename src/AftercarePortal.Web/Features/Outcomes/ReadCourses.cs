using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>Finds the courses of a clinic: a record that holds belongs to the latest intake of its patient that was accepted before it, a touch-up to that of the record it touches up.</summary>
internal sealed class ReadCourses(PortalDb db)
{
    public async Task<IReadOnlyList<Course>> Run(CancellationToken stop)
    {
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        var decisions = await db.Decisions.AsNoTracking().Where(d => d.PatientId != null).OrderBy(d => d.DecidedAt).ThenBy(d => d.Number).ToListAsync(stop);
        var treatments = (await db.RecordsThatHold(stop)).Where(t => !t.WasStopped).ToList();          // stopped before the first deposit: it says nothing of amounts
        // Accepted from the first decision on, by whom the last one names: who sent it may have been corrected.
        var accepted = decisions.GroupBy(d => d.IntakeId).Select(d => new Sent(d.Key, d.Last().PatientId!.Value, d.First().DecidedAt)).ToLookup(d => d.PatientId);

        var byId = treatments.ToDictionary(t => t.Id);

        // A touch-up goes with what it touches up, whatever was accepted meanwhile; where that record does not hold, with its own day.
        Sent? Of(TreatmentRow treatment) => Before(treatment.TouchUpOf is { } first && byId.TryGetValue(first, out var touched) ? touched : treatment);

        Sent? Before(TreatmentRow treatment) => accepted[treatment.PatientId]
            .LastOrDefault(d => d.AcceptedAt <= treatment.SignedAt && d.AcceptedAt.InZone(zone).Date <= treatment.TreatedOn);

        return
        [
            .. from treatment in treatments.OrderBy(t => t.TreatedOn).ThenBy(t => t.SignedAt).ThenBy(t => t.Id)
               let decision = Of(treatment)
               where decision is not null
               group treatment by decision into visits
               let first = visits.FirstOrDefault(v => v.TouchUpOf is null)              // a touch-up whose first record does not hold says nothing of what a first treatment takes
               where first is not null
               orderby first.TreatedOn, first.Id
               select new Course(visits.Key.IntakeId, visits.Key.PatientId, [.. visits.SkipWhile(v => v != first).Where(v => Course.Holds(first, v, byId.ContainsKey))]),
        ];
    }

    private sealed record Sent(Guid IntakeId, Guid PatientId, Instant AcceptedAt);
}
