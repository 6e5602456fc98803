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

/// <summary>Signs a treatment record: record, placements and the job that plans the aftercare, in one save; the draft goes with it. The same sent twice is signed once; other words under a signed record's id are not taken for it.</summary>
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
        var plan = await db.Plans.Where(p => p.Id == form.PlanId && p.PatientId == patientId).Select(p => (Guid?)p.Id).SingleOrDefaultAsync();
        var today = now.InZone(DateTimeZoneProviders.Tzdb[(await db.Clinics.SingleAsync(c => c.Id == db.ClinicId)).Zone]).Date;
        var reading = Read(form, today, now);
        if (await Known() is { } known) return known;
        if (await Since(form, patientId) is { } other) return other;

        // decide
        reading.Reasons.AddRange(await db.TouchUpFaults(form.TouchUpOf, patientId, reading.Day, CancellationToken.None));
        if (reading.Reasons.Count > 0) return new Outcome.Refused(reading.Reasons);

        // write
        db.Add(RowOf(form, reading, patientId, plan, signedBy, now));
        db.Enqueue(PlanAftercare, form.RecordId.ToString(), now, JobTable.EverydayLane);
        db.Enqueue(LearnFigures, form.RecordId.ToString(), now, lane: 19);
        if (await db.TreatmentDrafts.SingleOrDefaultAsync(d => d.PatientId == patientId && d.StaffId == staffId) is { } draft) db.Remove(draft);
        try
        {
            await db.SaveChangesAsync();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await Known() is { } signed) return signed;                        // two taps at once: the other one signed it
            if (await Since(form, patientId) is { } meanwhile) return meanwhile;
            throw;
        }

        return new Outcome.Signed();

        // The form's id is that of a signed record: the same once more, or another one that must not be lost.
        async Task<Outcome?> Known() =>
            await db.Treatments.AsNoTracking().Include(t => t.Placements).Include(t => t.Drawn).AsSplitQuery().SingleOrDefaultAsync(t => t.Id == form.RecordId && t.PatientId == patientId) is not { } there ? null
            : reading.Reasons.Count == 0 && Same(there, RowOf(form, reading, patientId, plan, signedBy, now)) ? new Outcome.Signed()
            : new Outcome.Meanwhile(there.SignedBy, there.Id);
    }

    private static bool Same(TreatmentRow a, TreatmentRow b) =>
        (a.TreatedOn, a.Events, a.PlanId, a.TouchUpOf) == (b.TreatedOn, b.Events, b.PlanId, b.TouchUpOf)
        && a.Placements.OrderBy(p => p.Ordinal).Select(Values).SequenceEqual(b.Placements.OrderBy(p => p.Ordinal).Select(Values))
        && a.Drawn.OrderBy(d => d.Ordinal).Select(Values).SequenceEqual(b.Drawn.OrderBy(d => d.Ordinal).Select(Values));

    private static object Values(PlacementRow p) =>
        (p.Ordinal, p.Region, p.Side, p.ProductClass, p.ProductName, p.Lot, p.Udi, p.Expiry, p.HundredthsMl, p.TenthsUnits, p.Plane, p.Device, p.EntryPoint);

    private static object Values(DrawnRow d) => (d.Ordinal, d.ProductClass, d.Lot, d.Hundredths, d.HundredthsDiluent);

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

    private async Task<Outcome.Meanwhile?> Since(RecordForm form, Guid patientId) =>
        await db.Treatments.AsNoTracking().Where(t => t.PatientId == patientId && t.Number > form.Seen).OrderByDescending(t => t.Number).FirstOrDefaultAsync() is { } newer
            ? new(newer.SignedBy, newer.Id)
            : null;
}
