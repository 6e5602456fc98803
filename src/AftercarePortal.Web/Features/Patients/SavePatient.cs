using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Patients;

/// <summary>Adds a patient or changes the entry of one; how it stood is kept with who changed it.</summary>
internal sealed class SavePatient(PortalDb db, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Saved(Guid Id) : Outcome;
        public sealed record Refused(string? Name, string? Number) : Outcome;
        /// <summary>The entry was changed since the page was opened; nothing is changed.</summary>
        /// <param name="Now">How it stands.</param>
        public sealed record Meanwhile(PatientRow Now) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="id">Null adds somebody new.</param>
    /// <param name="language">Language of care texts; one that is not known counts as the default.</param>
    /// <param name="seen">The <see cref="PatientRow.Mark"/> of the entry the page had shown; of somebody new it is not looked at.</param>
    /// <param name="agreed">Whether the patient agreed to care texts; taking it back ends them.</param>
    public async Task<Outcome> Run(Guid? id, string? seen, string? name, string? number, bool agreed, string? language, string by, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var clinic = await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop);
        var row = id is null ? null : await db.Patients.SingleOrDefaultAsync(p => p.Id == id, stop);
        if (id is not null && row is null) return new Outcome.NotFound();
        var (called, reached) = (PersonName.Read(name), PhoneNumber.Read(number, clinic.PatientNumber));

        // decide
        if (called is null || reached is null)
            return new Outcome.Refused(
                called is null ? $"Write the name, up to {PersonName.Longest} characters." : null,
                reached is null ? "This does not look like a phone number; add the country code if it is not from here." : null);
        var spoken = Texts.Languages.Contains(language) ? language! : Texts.DefaultLanguage;
        if (row is not null && seen != row.Mark())
            return (row.Name, row.Number, row.AgreedToTextsAt is not null, row.Language) == (called, reached, agreed, spoken) ? new Outcome.Saved(row.Id) : new Outcome.Meanwhile(row);

        // write
        if (row is null) db.Add(row = new PatientRow { Name = called, Number = reached });
        (row.Name, row.Number) = (called, reached);
        row.Language = spoken;
        row.AgreedToTextsAt = agreed ? row.AgreedToTextsAt ?? now : null;
        db.Add(new PatientChangeRow { PatientId = row.Id, Name = called, Number = reached, AgreedToTextsAt = row.AgreedToTextsAt, Language = row.Language, ChangedBy = by, ChangedAt = now });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateConcurrencyException)
        {
            db.ChangeTracker.Clear();
            return new Outcome.Meanwhile(await db.Patients.AsNoTracking().SingleAsync(p => p.Id == row.Id, stop));
        }

        return new Outcome.Saved(row.Id);
    }
}
