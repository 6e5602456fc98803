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
    /// <param name="newId">Id a form for somebody new was given when it was opened: sent twice, one is added.</param>
    /// <param name="language">Language of care texts; one that is not known counts as the default.</param>
    /// <param name="seen">The <see cref="PatientRow.Mark"/> of the entry the page had shown; of somebody new it is not looked at.</param>
    /// <param name="agreed">Whether the patient agreed to care texts; taking it back ends them.</param>
    public async Task<Outcome> Run(Guid? id, Guid newId, string? seen, string? name, string? number, bool agreed, string? language, string by, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var clinic = await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop);
        var row = await db.Patients.SingleOrDefaultAsync(p => p.Id == (id ?? newId), stop);
        if (id is not null && row is null) return new Outcome.NotFound();
        var (called, reached) = (PersonName.Read(name), PhoneNumber.Read(number, clinic.PatientNumber));

        // decide
        if (called is null || reached is null)
            return new Outcome.Refused(
                called is null ? $"Write the name, up to {PersonName.Longest} characters." : null,
                reached is null ? "This does not look like a phone number; add the country code if it is not from here." : null);
        var spoken = Texts.Languages.Contains(language) ? language! : Texts.DefaultLanguage;
        if (row is not null && IsSo(row)) return new Outcome.Saved(row.Id);        // sent twice, or nothing was changed: no change to keep
        if (id is not null && seen != row!.Mark()) return new Outcome.Meanwhile(row);
        bool IsSo(PatientRow stands) => (stands.Name, stands.Number, stands.AgreedToTextsAt is not null, stands.Language) == (called, reached, agreed, spoken);

        // write
        if (id is null) db.Add(row = new PatientRow { Id = row is null && newId != Guid.Empty ? newId : Guid.CreateVersion7(), Name = called, Number = reached });
        (row!.Name, row.Number) = (called, reached);
        row.Language = spoken;
        row.AgreedToTextsAt = agreed ? row.AgreedToTextsAt ?? now : null;
        db.Add(new PatientChangeRow { PatientId = row.Id, Name = called, Number = reached, AgreedToTextsAt = row.AgreedToTextsAt, Language = row.Language, ChangedBy = by, ChangedAt = now });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException failed)
        {
            db.ChangeTracker.Clear();
            var stands = await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == row.Id, stop);
            if (stands is not null && IsSo(stands)) return new Outcome.Saved(stands.Id);               // of two taps at once this is the second
            if (stands is null || failed is not DbUpdateConcurrencyException) throw;
            return new Outcome.Meanwhile(stands);
        }

        return new Outcome.Saved(row.Id);
    }
}
