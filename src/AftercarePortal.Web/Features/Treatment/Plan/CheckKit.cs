using System.Text.Json;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>Keeps that the emergency kit is there and in date before a treatment starts. Anything missing or past its day is refused, with what it is.</summary>
internal sealed class CheckKit(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <summary>The clinic's local date now.</summary>
    public async Task<LocalDate> Today(CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        return now.InZone(DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)]).Date;
    }

    /// <param name="id">Id the form was given when it was opened; sent twice, it is kept once.</param>
    /// <param name="there">Ids of what was ticked.</param>
    /// <param name="expiry">Expiry as typed, by id.</param>
    /// <returns>Everything that is wrong; empty: kept. Null: no such patient.</returns>
    public async Task<IReadOnlyList<string>?> Run(Guid id, Guid patientId, IReadOnlyCollection<string> there, IReadOnlyDictionary<string, string> expiry, string person, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (!await db.Patients.AnyAsync(p => p.Id == patientId, stop)) return null;
        if (await db.KitChecks.AnyAsync(k => k.Id == id && k.PatientId == patientId, stop)) return [];
        var today = await Today(stop);

        // decide
        var reasons = new List<string>();
        if (id == Guid.Empty) reasons.Add("Open the form anew.");
        var found = new Dictionary<string, string>();
        foreach (var item in content.Safety.Kit)
        {
            var day = ReadTyped.Date(expiry.GetValueOrDefault(item.Id));
            if (!there.Contains(item.Id)) reasons.Add($"{item.Says}: not ticked. Do not start without it.");
            if (item.Expires && day is null) reasons.Add($"{item.Says}: give the last day it may be used.");
            if (item.Expires && day < today) reasons.Add($"{item.Says}: expired on {Plain.Day(day.Value)}. Do not start; replace it.");
            found[item.Id] = item.Expires && day is { } last ? LocalDatePattern.Iso.Format(last) : "";
        }

        if (reasons.Count > 0) return reasons;

        // write
        db.Add(new KitCheckRow { Id = id, PatientId = patientId, On = today, CheckedBy = person, CheckedAt = now, Rules = content.Safety.Version.ToString(), Found = JsonSerializer.Serialize(found) });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (!await db.KitChecks.AnyAsync(k => k.Id == id, stop)) throw;            // two taps at once: the other one kept it
        }

        return [];
    }
}
