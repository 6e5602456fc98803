using System.Text.Json;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Staff;
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

    /// <summary>Everything begun and not signed, the one kept longest ago first.</summary>
    public async Task<IReadOnlyList<Open>> AllOpen(CancellationToken stop)
    {
        var rows = await (
            from draft in db.TreatmentDrafts.AsNoTracking()
            join patient in db.Patients.AsNoTracking() on draft.PatientId equals patient.Id
            orderby draft.SavedAt
            select new { draft.Id, draft.PatientId, patient.Name, draft.StaffId, draft.StaffName, draft.SavedAt, draft.Form }).ToListAsync(stop);
        var here = (await db.StaffOfClinic.AsNoTracking().ToListAsync(stop)).Where(s => !s.IsLetGo).Select(s => s.Id).ToHashSet();
        return [.. rows.Select(d => new Open(d.Id, d.PatientId, d.Name, d.StaffName, d.SavedAt, JsonSerializer.Deserialize<RecordForm>(d.Form)!.Written(), !here.Contains(d.StaffId)))];
    }

    /// <param name="Says">How much was written, in words.</param>
    /// <param name="WriterGone">Its writer was let go: nobody can sign it until somebody takes it over.</param>
    public sealed record Open(Guid Id, Guid PatientId, string Patient, string By, Instant SavedAt, string Says, bool WriterGone);

    /// <summary>Gives the draft of somebody who was let go to another person; how it was stays with whose it was.</summary>
    /// <returns>The patient; null: it is not there any more, its writer is still here, or this person has begun one of that patient.</returns>
    public async Task<Guid?> TakeOver(Guid id, string staffId, string staffName, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (await db.TreatmentDrafts.AsNoTracking().SingleOrDefaultAsync(d => d.Id == id, stop) is not { } draft) return null;
        if (await db.StaffOfClinic.AsNoTracking().SingleOrDefaultAsync(s => s.Id == draft.StaffId, stop) is { IsLetGo: false }) return null;
        if (await db.TreatmentDrafts.AnyAsync(d => d.PatientId == draft.PatientId && d.StaffId == staffId, stop)) return null;
        await using var all = await db.Database.BeginTransactionAsync(stop);
        if (await db.TreatmentDrafts.Where(d => d.Id == id && d.StaffId == draft.StaffId).ExecuteUpdateAsync(set => set.SetProperty(d => d.StaffId, staffId).SetProperty(d => d.StaffName, staffName), stop) == 0) return null;
        db.Add(new ThrownDraftRow { PatientId = draft.PatientId, StaffId = draft.StaffId, StaffName = draft.StaffName, Form = draft.Form, ThrownAt = now, TakenUpAt = now });
        await db.SaveChangesAsync(stop);
        await all.CommitAsync(stop);
        return draft.PatientId;
    }

    /// <summary>Keeps the form as it was typed, in place of what this person had typed for this patient before. A draft of another record, from another window, is not lost: it stands among those thrown away.</summary>
    /// <returns>Whether one was put there.</returns>
    public async Task<bool> Keep(RecordForm form, Guid patientId, string staffId, string staffName)
    {
        for (var last = false; ; last = true)
        {
            try
            {
                return await Replace(form, patientId, staffId, staffName);
            }
            catch (DbUpdateException) when (!last)
            {
                db.ChangeTracker.Clear();                                          // the same person in two windows: the later one stands
            }
        }
    }

    private async Task<bool> Replace(RecordForm form, Guid patientId, string staffId, string staffName)
    {
        var (json, now) = (JsonSerializer.Serialize(form), time.GetCurrentInstant());
        await using var all = await db.Database.BeginTransactionAsync();
        var mine = db.TreatmentDrafts.Where(d => d.PatientId == patientId && d.StaffId == staffId);
        var aside = false;
        if (await mine.Select(d => d.Form).SingleOrDefaultAsync() is { } before && JsonSerializer.Deserialize<RecordForm>(before)! is { IsBlank: false } other && other.RecordId != form.RecordId)
        {
            aside = true;
            if (!await db.ThrownDrafts.AnyAsync(d => d.PatientId == patientId && d.StaffId == staffId && d.TakenUpAt == null && d.Form == before))
                db.Add(new ThrownDraftRow { PatientId = patientId, StaffId = staffId, StaffName = staffName, Form = before, ThrownAt = now });
        }

        if (await mine.ExecuteUpdateAsync(set => set.SetProperty(d => d.Form, json).SetProperty(d => d.SavedAt, now)) == 0)
            db.Add(new TreatmentDraftRow { PatientId = patientId, StaffId = staffId, StaffName = staffName, Form = json, SavedAt = now });
        await db.SaveChangesAsync();
        await all.CommitAsync();
        return aside;
    }

    /// <summary>Throws a draft away; how it was at the last stays for whoever threw it, and that it was for everybody.</summary>
    /// <param name="last">Everything as it stood in the form at that press.</param>
    /// <returns>False: this draft is not the one that is kept, for it was thrown away before, or another was begun since; nothing is changed.</returns>
    public async Task<bool> Discard(RecordForm last, Guid patientId, string staffId, string staffName)
    {
        var now = time.GetCurrentInstant();
        await using var all = await db.Database.BeginTransactionAsync();
        // A form that was emptied, or sent without its fields, does not take the place of what was kept.
        var kept = await db.TreatmentDrafts.Where(d => d.PatientId == patientId && d.StaffId == staffId).Select(d => d.Form).SingleOrDefaultAsync();
        if (kept is not null && last.RecordId != Guid.Empty && JsonSerializer.Deserialize<RecordForm>(kept)!.RecordId != last.RecordId) return false;
        var json = last.IsBlank && kept is not null ? kept : JsonSerializer.Serialize(last);
        var thrown = await db.TreatmentDrafts.Where(d => d.PatientId == patientId && d.StaffId == staffId).ExecuteDeleteAsync();
        if (thrown == 0 && (last.IsBlank || await db.ThrownDrafts.AnyAsync(d => d.PatientId == patientId && d.StaffId == staffId && d.Form == json))) return false;
        db.Add(new ThrownDraftRow { PatientId = patientId, StaffId = staffId, StaffName = staffName, Form = json, ThrownAt = now });
        await db.SaveChangesAsync();
        await all.CommitAsync();
        return true;
    }

    /// <summary>Drafts of a patient that were thrown away and not taken up again, the latest first.</summary>
    public async Task<IReadOnlyList<Thrown>> ThrownAway(Guid patientId, string staffId) =>
        [.. (await db.ThrownDrafts.AsNoTracking().Where(d => d.PatientId == patientId && d.TakenUpAt == null).OrderByDescending(d => d.ThrownAt).ToListAsync())
            .Select(d => new Thrown(d.Id, d.StaffName, d.ThrownAt, d.StaffId == staffId, JsonSerializer.Deserialize<RecordForm>(d.Form)!.Written()))];

    /// <param name="Mine">Whoever asks threw it away and can take it up again.</param>
    /// <param name="Says">How much was written, in words.</param>
    public sealed record Thrown(Guid Id, string By, Instant At, bool Mine, string Says);

    /// <summary>What became of taking a thrown draft up again.</summary>
    public enum TakenUp
    {
        /// <summary>It is the draft now.</summary>
        Now,
        /// <summary>It had been taken up before; nothing is changed.</summary>
        Before,
        /// <summary>A draft has been begun since; nothing is changed.</summary>
        AnotherBegun,
        /// <summary>It is not there, or somebody else's.</summary>
        NotFound,
    }

    /// <summary>Takes a thrown draft up again, once.</summary>
    public async Task<TakenUp> TakeUp(Guid id, Guid patientId, string staffId)
    {
        if (await db.ThrownDrafts.AsNoTracking().SingleOrDefaultAsync(d => d.Id == id && d.PatientId == patientId && d.StaffId == staffId) is not { } thrown) return TakenUp.NotFound;
        var now = time.GetCurrentInstant();
        await using var all = await db.Database.BeginTransactionAsync();
        if (await db.ThrownDrafts.Where(d => d.Id == id && d.TakenUpAt == null).ExecuteUpdateAsync(set => set.SetProperty(d => d.TakenUpAt, now)) == 0) return TakenUp.Before;
        if (await Begun()) return TakenUp.AnotherBegun;
        db.Add(new TreatmentDraftRow { PatientId = patientId, StaffId = staffId, StaffName = thrown.StaffName, Form = thrown.Form, SavedAt = now });
        try
        {
            await db.SaveChangesAsync();
            await all.CommitAsync();
        }
        catch (DbUpdateException)
        {
            await all.RollbackAsync();                                             // begun in another window in the same moment
            if (!await Begun()) throw;
            return TakenUp.AnotherBegun;
        }

        return TakenUp.Now;

        Task<bool> Begun() => db.TreatmentDrafts.AnyAsync(d => d.PatientId == patientId && d.StaffId == staffId);
    }
}
