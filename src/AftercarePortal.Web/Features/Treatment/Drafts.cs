using System.Text.Json;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Keeps what was typed into a record's form until it is signed or thrown away.</summary>
internal sealed class Drafts(PortalDb db, TimeProvider time)
{
    /// <summary>What this person typed for this patient, or null.</summary>
    public async Task<(RecordForm Form, Instant SavedAt)?> Of(Guid patientId, string staffId) =>
        await db.TreatmentDrafts.AsNoTracking().SingleOrDefaultAsync(d => d.PatientId == patientId && d.StaffId == staffId) is { } draft
            ? (JsonSerializer.Deserialize<RecordForm>(draft.Form)!, draft.SavedAt)
            : null;

    /// <summary>Who else has begun a record of this patient, and when they last saved.</summary>
    public async Task<IReadOnlyList<(string Name, Instant SavedAt)>> OfOthers(Guid patientId, string staffId) =>
        [.. (await db.TreatmentDrafts.AsNoTracking().Where(d => d.PatientId == patientId && d.StaffId != staffId).OrderBy(d => d.SavedAt).ToListAsync()).Select(d => (d.StaffName, d.SavedAt))];

    public async Task Keep(RecordForm form, Guid patientId, string staffId, string staffName)
    {
        var (json, now) = (JsonSerializer.Serialize(form), time.GetCurrentInstant());
        if (await Update() > 0) return;
        db.Add(new TreatmentDraftRow { PatientId = patientId, StaffId = staffId, StaffName = staffName, Form = json, SavedAt = now });
        try
        {
            await db.SaveChangesAsync();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();                                              // the same person in two windows: the later one stands
            if (await Update() == 0) throw;
        }

        Task<int> Update() => db.TreatmentDrafts.Where(d => d.PatientId == patientId && d.StaffId == staffId)
            .ExecuteUpdateAsync(set => set.SetProperty(d => d.Form, json).SetProperty(d => d.SavedAt, now));
    }

    /// <summary>Throws a draft away; how it was stays for whoever threw it, and that it was for everybody.</summary>
    public async Task Discard(Guid patientId, string staffId)
    {
        if (await db.TreatmentDrafts.SingleOrDefaultAsync(d => d.PatientId == patientId && d.StaffId == staffId) is not { } draft) return;
        db.Remove(draft);
        db.Add(new ThrownDraftRow { PatientId = patientId, StaffId = staffId, StaffName = draft.StaffName, Form = draft.Form, ThrownAt = time.GetCurrentInstant() });
        await db.SaveChangesAsync();
    }

    /// <summary>Drafts of a patient that were thrown away and not taken up again, the latest first.</summary>
    public async Task<IReadOnlyList<Thrown>> ThrownAway(Guid patientId, string staffId) =>
        [.. (await db.ThrownDrafts.AsNoTracking().Where(d => d.PatientId == patientId && d.TakenUpAt == null).OrderByDescending(d => d.ThrownAt).ToListAsync())
            .Select(d => new Thrown(d.Id, d.StaffName, d.ThrownAt, d.StaffId == staffId, JsonSerializer.Deserialize<RecordForm>(d.Form)!.Written()))];

    /// <param name="Mine">Whoever asks threw it away and can take it up again.</param>
    /// <param name="Says">How much was written, in words.</param>
    public sealed record Thrown(Guid Id, string By, Instant At, bool Mine, string Says);

    /// <summary>Takes a thrown draft up again. False: it is not there, is somebody else's, or a draft has been begun since.</summary>
    public async Task<bool> TakeUp(Guid id, Guid patientId, string staffId)
    {
        if (await db.ThrownDrafts.SingleOrDefaultAsync(d => d.Id == id && d.PatientId == patientId && d.StaffId == staffId && d.TakenUpAt == null) is not { } thrown
            || await db.TreatmentDrafts.AnyAsync(d => d.PatientId == patientId && d.StaffId == staffId)) return false;
        var now = time.GetCurrentInstant();
        thrown.TakenUpAt = now;
        db.Add(new TreatmentDraftRow { PatientId = patientId, StaffId = staffId, StaffName = thrown.StaffName, Form = thrown.Form, SavedAt = now });
        await db.SaveChangesAsync();
        return true;
    }
}
