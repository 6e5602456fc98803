using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>Finds the courses of a clinic: a signed record belongs to the latest intake of its patient that was accepted before it, a touch-up to that of the record it touches up.</summary>
internal sealed class ReadCourses(PortalDb db)
{
    public async Task<IReadOnlyList<Course>> Run(CancellationToken stop)
    {
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        var decisions = await db.Decisions.AsNoTracking().Where(d => d.Decision == Decision.Accepted && d.PatientId != null).OrderBy(d => d.DecidedAt).ToListAsync(stop);
        var treatments = await db.Treatments.AsNoTracking().Include(t => t.Placements).Include(t => t.Addenda).AsSplitQuery().ToListAsync(stop);
        var accepted = decisions.GroupBy(d => d.IntakeId).Select(d => d.First()).ToLookup(d => d.PatientId!.Value);

        var byId = treatments.ToDictionary(t => t.Id);

        // A touch-up goes with what it touches up, whatever was accepted meanwhile.
        DecisionRow? Of(TreatmentRow treatment) => Before(treatment.TouchUpOf is { } first ? byId[first] : treatment);

        DecisionRow? Before(TreatmentRow treatment) => accepted[treatment.PatientId]
            .LastOrDefault(d => d.DecidedAt <= treatment.SignedAt && d.DecidedAt.InZone(zone).Date <= treatment.TreatedOn);

        return
        [
            .. from treatment in treatments.OrderBy(t => t.TreatedOn).ThenBy(t => t.SignedAt).ThenBy(t => t.Id)
               let decision = Of(treatment)
               where decision is not null
               group treatment by decision into visits
               let first = visits.First()
               orderby first.TreatedOn, first.Id
               select new Course(visits.Key.IntakeId, visits.Key.PatientId!.Value, [.. visits.Where(v => Course.Holds(first, v))]),
        ];
    }
}
