using System.Text.Json;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Consent;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
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

    /// <summary>Kind of the job that plans a patient's aftercare anew after a record was put right or does not hold; its subject is the addendum's id.</summary>
    public const string PlanAnew = "plan-aftercare-anew";

    /// <summary>Kind of the job that learns the clinic's figures anew; its subject is the id of the record or the addendum that changed them.</summary>
    public const string LearnFigures = "learn-figures";

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Signed : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        /// <summary>Somebody signed a record of this patient since the form was opened.</summary>
        public sealed record Meanwhile(string By, Guid TreatmentId) : Outcome;
        /// <summary>No consent stood on the day of treatment, and nobody said yet why it is signed all the same.</summary>
        public sealed record AsksWhyNoConsent : Outcome;
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
        var gap = reading.Day is { } treated ? await db.ConsentWarning(patientId, treated, today) : null;
        if (await Known() is { } known) return known;
        if (await Since(form, patientId) is { } other) return other;
        if (form.Seen != 0 && !await db.Treatments.AnyAsync(t => t.PatientId == patientId && t.Number == form.Seen)) reading.Reasons.Add(OpenedAt.Never);

        // decide
        reading.Reasons.AddRange(await db.TouchUpFaults(form.TouchUpOf, patientId, reading.Day, CancellationToken.None));
        if (string.IsNullOrWhiteSpace(form.RecalledWhy)) reading.Reasons.AddRange(RecallWords.Against(await db.RecallsOf(form.Lots(), CancellationToken.None)));
        if (reading.Reasons.Count > 0) return new Outcome.Refused(reading.Reasons);
        if (gap is not null && !NoConsentWords.IsSaid(form)) return new Outcome.AsksWhyNoConsent();

        // write
        db.Add(RowOf(form, reading, patientId, plan, gap, signedBy, now));
        db.Enqueue(PlanAftercare, form.RecordId.ToString(), now, JobTable.EverydayLane);
        db.Enqueue(LearnFigures, form.RecordId.ToString(), now, JobTable.LearningLane);
        if (await db.TreatmentDrafts.SingleOrDefaultAsync(d => d.PatientId == patientId && d.StaffId == staffId) is { } draft && JsonSerializer.Deserialize<RecordForm>(draft.Form)!.RecordId == form.RecordId) db.Remove(draft);     // one of another record, from another window, stays
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
            : reading.Reasons.Count == 0 && Same(there, RowOf(form, reading, patientId, plan, gap, signedBy, now)) ? new Outcome.Signed()
            : new Outcome.Meanwhile(there.SignedBy, there.Id);
    }

    private static bool Same(TreatmentRow a, TreatmentRow b) =>
        (a.TreatedOn, a.Events, a.RecalledWhy, a.PlanId, a.TouchUpOf) == (b.TreatedOn, b.Events, b.RecalledWhy, b.PlanId, b.TouchUpOf)
        && (a.NoConsent is null || b.NoConsent is null || (a.NoConsent, a.NoConsentWords) == (b.NoConsent, b.NoConsentWords))   // a consent may have been signed since
        && a.Placements.OrderBy(p => p.Ordinal).Select(Values).SequenceEqual(b.Placements.OrderBy(p => p.Ordinal).Select(Values))
        && a.Drawn.OrderBy(d => d.Ordinal).Select(Values).SequenceEqual(b.Drawn.OrderBy(d => d.Ordinal).Select(Values));

    private static object Values(PlacementRow p) =>
        (p.Ordinal, p.Region, p.Side, p.ProductClass, p.ProductName, p.Lot, p.Udi, p.Expiry, p.HundredthsMl, p.TenthsUnits, p.Plane, p.Device, p.EntryPoint);

    private static object Values(DrawnRow d) => (d.Ordinal, d.ProductClass, d.Lot, d.Hundredths, d.HundredthsDiluent);

    /// <summary>What signing would read and refuse; the form is changed as by <see cref="Run"/>.</summary>
    public static RecordReading Read(RecordForm form, LocalDate today, Instant now)
    {
        var scanned = ScanReading.Fill(form.Lines, ReadTyped.Date(form.TreatedOn) ?? today);
        var reading = new RecordReading(form);
        reading.Reasons.InsertRange(0, scanned);
        if (form.RecordId == Guid.Empty) reading.Reasons.Insert(0, "Open the form anew.");
        reading.Judge(today, now);
        return reading;
    }

    private static TreatmentRow RowOf(RecordForm form, RecordReading reading, Guid patientId, Guid? plan, string? gap, string signedBy, Instant now) => new()
    {
        PlanId = plan, TouchUpOf = form.TouchUpOf, Id = form.RecordId, PatientId = patientId, Number = form.Seen + 1, TreatedOn = reading.Day!.Value, SignedBy = signedBy, SignedAt = now, Events = form.Events?.Trim() ?? "",
        RecalledWhy = form.RecalledWhy?.Trim() ?? "",
        ConsentGap = gap ?? "", NoConsent = gap is null ? null : ReadTyped.Choice<NoConsent>(form.NoConsent), NoConsentWords = gap is null ? "" : form.NoConsentWords?.Trim() ?? "",
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
