using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment.Plan;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Signs a treatment record: record, placements and the job that plans the aftercare, in one save; the draft goes with it. Sent twice, it is signed once.</summary>
internal sealed class SignRecord(PortalDb db, TimeProvider time)
{
    /// <summary>Kind of the job that plans the aftercare; its subject is the treatment's id.</summary>
    public const string PlanAftercare = "plan-aftercare";

    /// <summary>Kind of the job that learns the clinic's figures anew; its subject is the id of the record or the addendum that changed them.</summary>
    public const string LearnFigures = "learn-figures";

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Signed : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        /// <summary>Somebody signed a record of this patient since the form was opened.</summary>
        public sealed record Meanwhile(string By, Guid TreatmentId) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="form">Changed: what was scanned, or is the same as the line before, is filled in.</param>
    public async Task<Outcome> Run(RecordForm form, Guid patientId, string signedBy, string staffId)
    {
        // read
        var now = time.GetCurrentInstant();
        if (!await db.Patients.AnyAsync(p => p.Id == patientId)) return new Outcome.NotFound();
        if (await AlreadySigned(form.RecordId, patientId)) return new Outcome.Signed();
        if (await Since(form, patientId) is { } other) return other;
        var today = now.InZone(DateTimeZoneProviders.Tzdb[(await db.Clinics.SingleAsync(c => c.Id == db.ClinicId)).Zone]).Date;

        // decide
        var reading = Read(form, today, now);
        reading.Reasons.AddRange(await db.TouchUpFaults(form.TouchUpOf, patientId, reading.Day, CancellationToken.None));
        if (reading.Reasons.Count > 0) return new Outcome.Refused(reading.Reasons);
        var plan = await db.Plans.Where(p => p.Id == form.PlanId && p.PatientId == patientId).Select(p => (Guid?)p.Id).SingleOrDefaultAsync();

        // write
        db.Add(RowOf(form, reading, patientId, plan, signedBy, now));
        db.Enqueue(PlanAftercare, form.RecordId.ToString(), now, lane: 9);
        db.Enqueue(LearnFigures, form.RecordId.ToString(), now, lane: 19);
        if (await db.TreatmentDrafts.SingleOrDefaultAsync(d => d.PatientId == patientId && d.StaffId == staffId) is { } draft) db.Remove(draft);
        try
        {
            await db.SaveChangesAsync();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await AlreadySigned(form.RecordId, patientId)) return new Outcome.Signed();      // two taps at once: the other one signed it
            if (await Since(form, patientId) is { } meanwhile) return meanwhile;
            throw;
        }

        return new Outcome.Signed();
    }

    /// <summary>What signing would read and refuse; the form is changed as by <see cref="Run"/>.</summary>
    public static RecordReading Read(RecordForm form, LocalDate today, Instant now)
    {
        var scanned = ScanReading.Fill(form.Lines, today);
        var reading = new RecordReading(form);
        reading.Reasons.InsertRange(0, scanned);
        if (form.RecordId == Guid.Empty) reading.Reasons.Insert(0, "Open the form anew.");
        reading.Judge(today, now);
        return reading;
    }

    private static TreatmentRow RowOf(RecordForm form, RecordReading reading, Guid patientId, Guid? plan, string signedBy, Instant now) => new()
    {
        PlanId = plan, TouchUpOf = form.TouchUpOf, Id = form.RecordId, PatientId = patientId, Number = form.Seen + 1, TreatedOn = reading.Day!.Value, SignedBy = signedBy, SignedAt = now, Events = form.Events?.Trim() ?? "",
        Placements = [.. reading.Placements.Select(p => RowOf(p.Number, p.Placement, p.Line))],
        Drawn =
        [
            .. reading.Drawn.Select((d, i) => new DrawnRow
            {
                Ordinal = i + 1, ProductClass = d.ProductClass, Lot = d.Lot, Hundredths = (int)(d.Amount * 100), HundredthsDiluent = (int?)(d.DiluentMl * 100),
            }),
        ],
    };

    private static PlacementRow RowOf(int number, Placement p, PlacementForm line) => new()
    {
        Ordinal = number, Region = p.Region, Side = p.Side, ProductClass = p.ProductClass, Plane = p.Plane, ProductName = p.ProductName, Lot = p.Lot,
        Device = p.Device, Expiry = p.Expiry, Udi = string.IsNullOrWhiteSpace(line.Scan) ? null : line.Scan, EntryPoint = line.EntryPoint?.Trim() ?? "",
        HundredthsMl = (int?)(p.Volume?.Ml * 100), TenthsUnits = (int?)(p.Units * 10),
    };

    private Task<bool> AlreadySigned(Guid id, Guid patientId) => db.Treatments.AnyAsync(t => t.Id == id && t.PatientId == patientId);

    private async Task<Outcome.Meanwhile?> Since(RecordForm form, Guid patientId) =>
        await db.Treatments.AsNoTracking().Where(t => t.PatientId == patientId && t.Number > form.Seen).OrderByDescending(t => t.Number).FirstOrDefaultAsync() is { } newer
            ? new(newer.SignedBy, newer.Id)
            : null;
}
