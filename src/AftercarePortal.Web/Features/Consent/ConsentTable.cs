using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>One consent as it was read and signed by the patient. Only the clinician's signature and its withdrawal are ever added.</summary>
internal sealed class ConsentRow : IClinicRow
{
    /// <summary>Id the form was given when it was opened: sent twice, it is kept once.</summary>
    public required Guid Id { get; init; }
    public Guid ClinicId { get; init; }
    public required Guid PatientId { get; init; }
    /// <summary>The document in content, whatever its version or language; a withdrawal holds for all the patient signed of it.</summary>
    public required string DocumentId { get; init; }
    /// <summary>Of the document, as it was read.</summary>
    public required int Version { get; init; }
    /// <summary>Of the document, in <see cref="Language"/>.</summary>
    public required string Title { get; init; }
    /// <summary>Language it was read in.</summary>
    public required string Language { get; init; }
    /// <summary>What was read, byte for byte.</summary>
    public required byte[] Bytes { get; init; }
    /// <summary>SHA-256 of <see cref="Bytes"/>.</summary>
    public required string Hash { get; init; }
    /// <summary>The patient's name as the patient typed it.</summary>
    public required string SignedAs { get; init; }
    /// <summary>Who handed the screen over.</summary>
    public required string HandedOverBy { get; init; }
    /// <summary>The same person's staff id; always set by <see cref="SignConsent"/>.</summary>
    public string? HandedOverById { get; init; }
    /// <summary>Full name of the clinician who signed after the patient; null: not signed yet, it does not count.</summary>
    public string? Clinician { get; set; }
    /// <summary>The same person's staff id; null: not signed yet.</summary>
    public string? ClinicianId { get; set; }
    /// <summary>When the clinician signed; null: not signed yet.</summary>
    public Instant? ClinicianSignedAt { get; set; }
    /// <summary>When the patient signed.</summary>
    public required Instant SignedAt { get; init; }
    /// <summary>First local date the treatment may take place under it.</summary>
    public required LocalDate From { get; init; }
    /// <summary>When the withdrawal was written down; null: it was not withdrawn, and nothing about a withdrawal stands here.</summary>
    public Instant? WithdrawnAt { get; set; }
    /// <summary>Who wrote the withdrawal down.</summary>
    public string? WithdrawnWith { get; set; }
    /// <summary>Who said so: the patient, or whoever decides for the patient.</summary>
    public string? WithdrawnSaidBy { get; set; }
    /// <summary>How it reached the clinic.</summary>
    public ToldHow? WithdrawnTold { get; set; }
    /// <summary>What was said; empty: nothing was written down.</summary>
    public string? WithdrawnWords { get; set; }
}

/// <summary>How a withdrawal reached the clinic.</summary>
internal enum ToldHow { InPerson, ByTelephone, ByText, InWriting }

/// <summary>The table of signed consents.</summary>
internal static class ConsentTable
{
    extension(PortalDb db)
    {
        public DbSet<ConsentRow> Consents => db.Set<ConsentRow>();

        /// <summary>What a clinician must hear about a treatment of this patient; null when a consent stands on its day (<see cref="ConsentStanding"/>).</summary>
        /// <param name="treatedOn">Day of the treatment on the clinic's calendar: a record may be written later.</param>
        /// <param name="today">The clinic's local date.</param>
        public async Task<string?> ConsentWarning(Guid patientId, LocalDate treatedOn, LocalDate today)
        {
            var all = (await db.Consents.AsNoTracking().Where(c => c.PatientId == patientId).ToListAsync()).ToLookup(c => c.On(treatedOn));
            return all switch
            {
                _ when all.Contains(ConsentStanding.Stands) => null,
                _ when all[ConsentStanding.CoolingOff].Any(c => c.From <= today) => $"The consent kept here holds from {Plain.Day(all[ConsentStanding.CoolingOff].Min(c => c.From))}, after the day of treatment.",
                _ when all.Contains(ConsentStanding.CoolingOff) => $"The cooling-off time of this patient's consent runs until {Plain.Day(all[ConsentStanding.CoolingOff].Min(c => c.From))}.",
                _ when all.Contains(ConsentStanding.NoClinician) => "This patient signed a consent, but no clinician did.",
                _ when all.Contains(ConsentStanding.Withdrawn) => "This patient withdrew consent.",
                _ => "No signed consent of this patient is kept here.",
            };
        }

        /// <summary>What to look at of the latest consent that stands on a day: another version of its text is in force, or it is more than a year old (common practice, no source). Null: nothing, or none stands.</summary>
        /// <param name="inForce">The documents of content.</param>
        public async Task<string?> OldConsent(Guid patientId, LocalDate treatedOn, IReadOnlyList<ConsentDocument> inForce)
        {
            var standing = (await db.Consents.AsNoTracking().Where(c => c.PatientId == patientId).ToListAsync()).Where(c => c.On(treatedOn) is ConsentStanding.Stands).MaxBy(c => c.SignedAt);
            if (standing is null) return null;
            var version = inForce.Where(d => d.Id == standing.DocumentId).Select(d => d.Version).DefaultIfEmpty(standing.Version).Max();
            return version > standing.Version ? $"The consent that stands is of version {standing.Version} of its text; version {version} is in force now. Have it read and signed anew, or decide that the older one holds."
                : standing.From.PlusYears(1) < treatedOn ? $"The consent that stands is of {Plain.Day(standing.From)}, more than a year before. Ask whether it still holds for what is planned."
                : null;
        }
    }

    /// <summary>How they are stored: saving a change to what the patient signed throws.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<ConsentRow>
    {
        public void Configure(EntityTypeBuilder<ConsentRow> consent)
        {
            consent.ToTable("Consents");
            consent.Property(c => c.Id).ValueGeneratedNever();
            consent.Property(c => c.DocumentId).HasMaxLength(80);
            consent.Property(c => c.Title).HasMaxLength(200);
            consent.Property(c => c.Language).HasMaxLength(8);
            consent.Property(c => c.Hash).HasMaxLength(64);
            consent.Property(c => c.HandedOverBy).HasMaxLength(200);
            consent.Property(c => c.HandedOverById).HasMaxLength(40);
            consent.Property(c => c.ClinicianId).HasMaxLength(40);
            consent.Property(c => c.SignedAs).HasMaxLength(200);
            consent.Property(c => c.Clinician).HasMaxLength(200);
            consent.Property(c => c.WithdrawnWith).HasMaxLength(200);
            consent.Property(c => c.WithdrawnSaidBy).HasMaxLength(200);
            consent.Property(c => c.WithdrawnTold).HasMaxLength(20);
            consent.Property(c => c.WithdrawnWords).HasMaxLength(WithdrawConsent.MostLetters);
            consent.HasOne<PatientRow>().WithMany().HasForeignKey(c => c.PatientId).OnDelete(DeleteBehavior.Restrict);
            consent.HasIndex(c => new { c.ClinicId, c.PatientId, c.SignedAt });
            foreach (var property in consent.Metadata.GetProperties().Where(p => !p.IsKey() && !p.Name.StartsWith("Withdrawn", StringComparison.Ordinal) && p.Name is not (nameof(ConsentRow.Clinician) or nameof(ConsentRow.ClinicianSignedAt))))
                property.SetAfterSaveBehavior(PropertySaveBehavior.Throw);
        }
    }
}
