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

    public Task Discard(Guid patientId, string staffId) =>
        db.TreatmentDrafts.Where(d => d.PatientId == patientId && d.StaffId == staffId).ExecuteDeleteAsync();
}
