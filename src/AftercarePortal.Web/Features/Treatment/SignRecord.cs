using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Signs a treatment record: record, placements and the job that plans the aftercare, in one save. Sent twice, it is signed once.</summary>
internal sealed class SignRecord(PortalDb db, TimeProvider time)
{
    /// <summary>Kind of the job that plans the aftercare; its subject is the treatment's id.</summary>
    public const string PlanAftercare = "plan-aftercare";

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Signed : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="id">Id the form was given when it was opened; the same form sent again finds its record.</param>
    public async Task<Outcome> Run(Guid id, Guid patientId, string? treatedOn, IReadOnlyList<PlacementForm> lines, string signedBy)
    {
        // read
        var now = time.GetCurrentInstant();
        if (!await db.Patients.AnyAsync(p => p.Id == patientId)) return new Outcome.NotFound();
        if (await AlreadySigned(id, patientId)) return new Outcome.Signed();
        var zone = DateTimeZoneProviders.Tzdb[(await db.Clinics.SingleAsync(c => c.Id == db.ClinicId)).Zone];

        // decide
        var reasons = new List<string>();
        if (id == Guid.Empty) reasons.Add("Open the form anew.");
        reasons.AddRange(ScanReading.Fill(lines, now.InZone(zone).Date));
        var day = RecordReading.Day(treatedOn, now.InZone(zone).Date, reasons);
        var placements = RecordReading.Placements(lines, day, reasons);
        if (reasons.Count > 0) return new Outcome.Refused(reasons);

        // write
        db.Add(new TreatmentRow { Id = id, PatientId = patientId, TreatedOn = day!.Value, SignedBy = signedBy, SignedAt = now, Placements = placements });
        db.Enqueue(PlanAftercare, id.ToString(), now, lane: 9);
        try
        {
            await db.SaveChangesAsync();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await AlreadySigned(id, patientId)) return new Outcome.Signed();      // two taps at once: the other one signed it
            throw;
        }

        return new Outcome.Signed();
    }

    private Task<bool> AlreadySigned(Guid id, Guid patientId) => db.Treatments.AnyAsync(t => t.Id == id && t.PatientId == patientId);
}
