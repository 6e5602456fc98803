using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>Keeps a consent: the patient signs on the screen that was handed over, the clinician once it is back. Sent twice, each is kept once.</summary>
internal sealed class SignConsent(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <param name="id">Id the form was given when it was opened.</param>
    /// <param name="read">Hash of what stood on the screen.</param>
    /// <param name="handedOverBy">Full name of whoever handed over the screen.</param>
    /// <param name="staffId">The same person's staff id.</param>
    /// <returns>Everything that keeps it from being signed, in the patient's language; empty: signed. Null: no such patient or document.</returns>
    public async Task<IReadOnlyList<string>?> Run(Guid id, Guid patientId, string document, string? read, string? typedName, bool agrees, string handedOverBy, string staffId, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        if (await db.Patients.SingleOrDefaultAsync(p => p.Id == patientId, stop) is not { } patient || content.ConsentIn(patient.Language, document) is not { } text) return null;
        if (await db.Consents.AnyAsync(c => c.Id == id && c.PatientId == patientId, stop)) return [];
        var say = content.WordsHandedOver(patient.Language);
        var reasons = new List<string>();
        if (id == Guid.Empty || read != text.Hash) reasons.Add(say["consent-changed"]);
        if (!string.Equals(typedName?.Trim(), patient.Name.Trim(), StringComparison.CurrentCultureIgnoreCase)) reasons.Add(say["wrong-name"]);
        if (!agrees) reasons.Add(say["consent-tick"]);
        var zone = DateTimeZoneProviders.Tzdb[(await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop)).Zone];
        if (patient.IsMinorOn(now.InZone(zone).Date)) reasons.Add(say["consent-under-age"]);
        if (reasons.Count > 0) return reasons;

        db.Add(new ConsentRow
        {
            Id = id, PatientId = patientId, DocumentId = text.Id, Version = text.Version, Title = text.Title, Language = text.Language, Bytes = text.Bytes, Hash = text.Hash,
            SignedAs = typedName!.Trim(), HandedOverBy = handedOverBy, HandedOverById = staffId, SignedAt = now, From = now.InZone(zone).Date.PlusDays(text.CoolingOffDays),
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

    /// <summary>The clinician's signature: explained, questions answered, seen signed. Done twice, the first stands. False: no such consent.</summary>
    public async Task<bool> SignAsClinician(Guid id, string clinician, string staffId, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        await db.Consents.Where(c => c.Id == id && c.ClinicianSignedAt == null && c.WithdrawnAt == null).ExecuteUpdateAsync(set => set.SetProperty(c => c.Clinician, clinician).SetProperty(c => c.ClinicianId, staffId).SetProperty(c => c.ClinicianSignedAt, now), stop);
        return await db.Consents.AnyAsync(c => c.Id == id, stop);
    }
}
