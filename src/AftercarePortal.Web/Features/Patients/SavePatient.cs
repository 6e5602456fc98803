using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Text;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Patients;

/// <summary>Adds a patient or changes the entry of one; how it stood is kept with who changed it.</summary>
internal sealed class SavePatient(PortalDb db, IAnotherNumber another, TimeProvider time)
{
    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Saved(Guid Id) : Outcome;
        /// <summary>Something typed is missing or needs another look; nothing is kept.</summary>
        /// <param name="Agreement">Why agreement to care texts has to be ticked anew; null: it has not.</param>
        /// <param name="Born">What is wrong with the date of birth; null: nothing.</param>
        /// <param name="AskedFor">The number it is asked for, E.164, where it is.</param>
        public sealed record Refused(string? Name, string? Number, string? Agreement = null, string? AskedFor = null, string? Born = null) : Outcome;
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
    /// <param name="born">Date of birth, ISO; null or empty leaves it as it is.</param>
    /// <param name="agreedFor">The number, E.164, for which agreement was asked anew; null: it was not.</param>
    public Task<Outcome> Run(Guid? id, Guid newId, string? seen, string? name, string? number, bool agreed, string? language, string by, CancellationToken stop, string? agreedFor = null, string? born = null) =>
        Run(id, newId, seen, name, number, agreed, language, by, agreedFor, born, triesLeft: 3, stop);

    private async Task<Outcome> Run(Guid? id, Guid newId, string? seen, string? name, string? number, bool agreed, string? language, string by, string? agreedFor, string? born, int triesLeft, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var clinic = await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop);
        var row = await db.Patients.SingleOrDefaultAsync(p => p.Id == (id ?? newId), stop);
        if (id is not null && row is null) return new Outcome.NotFound();
        var (called, reached) = (PersonName.Read(name), PhoneNumber.Read(number, clinic.PatientNumber));

        // decide
        var (bornOn, wrongBorn) = ReadBorn(born, now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date);
        bornOn ??= row?.BornOn;
        if (called is null || reached is null || wrongBorn is not null)
            return new Outcome.Refused(
                called is null ? $"Write the name, up to {PersonName.Longest} characters." : null,
                reached is null ? "This does not look like a phone number; add the country code if it is not from here." : null, Born: wrongBorn);
        var spoken = Texts.Languages.Contains(language) ? language! : Texts.DefaultLanguage;
        if (row is not null && IsSo(row)) return new Outcome.Saved(row.Id);        // sent twice, or nothing was changed: no change to keep
        if (id is not null && seen != row!.Mark()) return new Outcome.Meanwhile(row);
        var moves = id is not null && row!.Number != reached;
        if (moves && agreed && row!.AgreedToTextsAt is not null && agreedFor != reached)
            return new Outcome.Refused(null, null, await AskAnew(row, stop), reached);
        bool IsSo(PatientRow stands) => (stands.Name, stands.Number, stands.AgreedToTextsAt is not null, stands.Language, stands.BornOn) == (called, reached, agreed, spoken, bornOn);

        // write
        var was = row?.Mark();
        if (row is not null && id is not null) await db.KeepAsItWas(row, now, stop);
        if (id is null) db.Add(row = new PatientRow { Id = row is null && newId != Guid.Empty ? newId : Guid.CreateVersion7(), Name = called, Number = reached });
        if (moves) await another.TakeAlong(row!, reached, now, stop);
        (row!.Name, row.Number) = (called, reached);
        (row.Language, row.BornOn) = (spoken, bornOn);
        row.AgreedToTextsAt = agreed ? (moves ? now : row.AgreedToTextsAt ?? now) : null;
        db.Add(new PatientChangeRow { PatientId = row.Id, Name = called, Number = reached, AgreedToTextsAt = row.AgreedToTextsAt, Language = row.Language, BornOn = row.BornOn, ChangedBy = by, ChangedAt = now });
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
            if (stands.Mark() != was) return new Outcome.Meanwhile(stands);
            if (triesLeft == 0) throw;
            // Nobody changed the entry: what goes along with it, such as an open report, took a turn in the same moment.
            return await Run(id, newId, seen, name, number, agreed, language, by, agreedFor, born, triesLeft - 1, stop);
        }

        return new Outcome.Saved(row.Id);
    }

    private static (LocalDate? Born, string? Wrong) ReadBorn(string? typed, LocalDate today) => typed?.Trim() switch
    {
        null or "" => (null, null),
        var words when LocalDatePattern.Iso.Parse(words) is { Success: true, Value: var born } && born <= today && born > today.PlusYears(-Oldest) => (born, null),
        _ => (null, "Write the date of birth as year, month and day, for example 1990-05-03."),
    };

    private const int Oldest = 120;

    // Agreement was given for a number: whoever holds the new one was not asked.
    private async Task<string> AskAnew(PatientRow row, CancellationToken stop) =>
        "The number is another. Ask whether care texts may go to it, and tick the box again." +
        (await another.HasStopped(row.Number, stop) ? " From the number before, STOP was sent, or that it is somebody else's: ask whether that holds." : "");
}
