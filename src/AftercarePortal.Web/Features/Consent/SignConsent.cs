using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>Keeps a consent that patient and clinician signed on the clinic's device, and its withdrawal. Sent twice, it is kept once.</summary>
internal sealed class SignConsent(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <param name="id">Id the form was given when it was opened.</param>
    /// <param name="read">Hash of what stood on the screen.</param>
    /// <returns>Everything that keeps it from being signed; empty: signed. Null: no such patient or document.</returns>
    public async Task<IReadOnlyList<string>?> Run(Guid id, Guid patientId, string document, string? read, string? typedName, bool agrees, bool explained, string clinician, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (await db.Patients.SingleOrDefaultAsync(p => p.Id == patientId, stop) is not { } patient || content.Consents.FirstOrDefault(c => c.Id == document) is not { } text) return null;
        if (await db.Consents.AnyAsync(c => c.Id == id && c.PatientId == patientId, stop)) return [];
        var reasons = new List<string>();
        if (id == Guid.Empty || read != text.Hash) reasons.Add("The document has changed since it was opened. Read it again, then sign.");
        if (!string.Equals(typedName?.Trim(), patient.Name.Trim(), StringComparison.CurrentCultureIgnoreCase)) reasons.Add("Patient: type your name as it stands at the top of this page.");
        if (!agrees) reasons.Add("Patient: tick that you agree, or leave it unsigned.");
        if (!explained) reasons.Add("Clinician: tick that you explained it and answered the questions.");
        if (reasons.Count > 0) return reasons;

        var zone = DateTimeZoneProviders.Tzdb[(await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop)).Zone];
        db.Add(new ConsentRow
        {
            Id = id, PatientId = patientId, DocumentId = text.Id, Version = text.Version, Title = text.Title, Bytes = text.Bytes, Hash = text.Hash, SignedAs = typedName!.Trim(),
            Clinician = clinician, SignedAt = now, From = now.InZone(zone).Date.PlusDays(text.CoolingOffDays),
        });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (!await db.Consents.AnyAsync(c => c.Id == id, stop)) throw;            // two taps at once: the other one kept it
        }

        return [];
    }

    /// <summary>Writes down that the patient withdrew. Done twice, the first stands. False: no such consent.</summary>
    public async Task<bool> Withdraw(Guid id, string person, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await db.Consents.Where(c => c.Id == id && c.WithdrawnAt == null).ExecuteUpdateAsync(set => set.SetProperty(c => c.WithdrawnAt, now).SetProperty(c => c.WithdrawnWith, person), stop);
        return await db.Consents.AnyAsync(c => c.Id == id, stop);
    }
}
