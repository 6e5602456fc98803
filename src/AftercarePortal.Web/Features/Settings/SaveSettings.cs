using System.Globalization;
using System.Text.Json;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>Changes a clinic's settings; how they stood is kept with who changed them.</summary>
internal sealed class SaveSettings(PortalDb db, ContentLibrary content, TimeProvider time)
{
    private static readonly LocalTimePattern WallClock = LocalTimePattern.CreateWithInvariantCulture("HH:mm");

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Saved : Outcome;
        /// <summary>One sentence a fault; nothing is changed.</summary>
        public sealed record Refused(IReadOnlyList<string> Faults) : Outcome;
        /// <summary>Somebody changed the settings since the page was opened; nothing is changed.</summary>
        /// <param name="By">Who, or null when it was not done on the page.</param>
        /// <param name="Now">How they stand.</param>
        public sealed record Meanwhile(string? By, SettingsForm Now) : Outcome;
    }

    /// <param name="seen">The <see cref="SettingsForm.Mark"/> of the settings the page had shown.</param>
    public async Task<Outcome> Run(SettingsForm form, string? seen, string by, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var clinic = await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop);
        var (from, to) = (WallClock.Parse(form.QuietFrom ?? ""), WallClock.Parse(form.QuietTo ?? ""));

        // decide
        var faults = new List<string>();
        if (string.IsNullOrWhiteSpace(form.Name) || form.Name.Length > 100) faults.Add("Write the clinic's name, up to 100 characters.");
        if (DateTimeZoneProviders.Tzdb.GetZoneOrNull(form.Zone ?? "") is null) faults.Add("Choose a time zone of the IANA list, for example America/New_York.");
        if (!IsDialled(form.EmergencyNumber, 3)) faults.Add("Write the local emergency number as people dial it.");
        if (!IsDialled(form.ClinicLine, 5)) faults.Add("Write the clinic's line as people dial it.");
        if (!from.Success || !to.Success) faults.Add("Write quiet hours as times, for example 21:00.");
        if (!string.IsNullOrEmpty(form.PriceList) && !content.PriceLists.ContainsKey(form.PriceList)) faults.Add("Choose a price list that is there.");
        if (!int.TryParse(form.RangesHold?.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out var hold) || !PromisedShare.Allows(hold / 100.0))
            faults.Add($"Give how many totals of 100 a price range is to hold as a whole number, {100 * PromisedShare.Least:0} to {100 * PromisedShare.Most:0}.");
        if (faults.Count > 0) return new Outcome.Refused(faults);
        var stands = SettingsForm.Of(clinic);

        // write
        (clinic.Name, clinic.Zone, clinic.EmergencyNumber, clinic.ClinicLine) = (form.Name!.Trim(), form.Zone!, form.EmergencyNumber!.Trim(), form.ClinicLine!.Trim());
        (clinic.QuietFrom, clinic.QuietTo, clinic.PriceList) = (from.Value, to.Value, string.IsNullOrEmpty(form.PriceList) ? null : form.PriceList);
        clinic.RangesHold = hold;
        var wanted = SettingsForm.Of(clinic);
        if (wanted.Mark() == stands.Mark()) return new Outcome.Saved();            // sent twice, or nothing was changed: no change to keep
        if (seen != stands.Mark())
        {
            db.ChangeTracker.Clear();
            return await ChangedTo(stands, stop);
        }

        if (!await db.ClinicChanges.AnyAsync(stop)) db.Add(new ClinicChangeRow { Json = JsonSerializer.Serialize(stands), ChangedBy = SettingsChange.BeforeTheFirst, ChangedAt = now - SettingsChange.Before });
        db.Add(new ClinicChangeRow { Json = JsonSerializer.Serialize(wanted), ChangedBy = by, ChangedAt = now });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateConcurrencyException)
        {
            db.ChangeTracker.Clear();
            var theirs = SettingsForm.Of(await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop));
            return theirs.Mark() == wanted.Mark() ? new Outcome.Saved() : await ChangedTo(theirs, stop);
        }

        return new Outcome.Saved();
    }

    private async Task<Outcome> ChangedTo(SettingsForm stands, CancellationToken stop)
    {
        var latest = await db.ClinicChanges.AsNoTracking().OrderByDescending(c => c.ChangedAt).FirstOrDefaultAsync(stop);
        return new Outcome.Meanwhile(latest?.Json == JsonSerializer.Serialize(stands) ? latest.ChangedBy : null, stands);
    }

    // Goes into safety replies: digits, spaces and the marks of a phone number, nothing a text could trip over.
    private static bool IsDialled(string? number, int fewest) =>
        number is { Length: <= 30 } && number.Count(char.IsAsciiDigit) >= fewest && number.Trim().All(c => char.IsAsciiDigit(c) || " +-()".Contains(c, StringComparison.Ordinal));
}
