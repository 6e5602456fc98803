using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Patients;

/// <summary>One patient of one clinic.</summary>
internal sealed class PatientRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public Guid ClinicId { get; set; }
    /// <summary>Full name, up to 200 characters.</summary>
    public required string Name { get; set; }
    /// <summary>E.164.</summary>
    public required string Number { get; set; }
    /// <summary>Date of birth; null: nobody has written it down yet.</summary>
    public LocalDate? BornOn { get; set; }
    /// <summary>When the patient agreed to care texts; null: none are sent.</summary>
    public Instant? AgreedToTextsAt { get; set; }
    /// <summary>Language of care texts: <c>en</c> or <c>es</c>.</summary>
    public string Language { get; set; } = "en";

    /// <summary>What the entry is, to tell whether a page showed the same.</summary>
    public string Mark() => SeenMark.Of(Name, Number, AgreedToTextsAt is null ? "no care texts" : "care texts", Language, BornOn is { } born ? LocalDatePattern.Iso.Format(born) : null);

    /// <summary>Under 18 on a day: nobody under 18 is treated here (common practice, no source; local law comes first). False where the date of birth is not known. Of age on the day <see cref="Earliest.Birthday"/> says, as in the intake.</summary>
    public bool IsMinorOn(LocalDate day) => BornOn is { } born && day < Earliest.Birthday(born, AdultAt);

    private const int AdultAt = 18;
}

/// <summary>How one patient's entry stood after somebody changed it. Only added.</summary>
internal sealed class PatientChangeRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public Guid ClinicId { get; set; }
    public required Guid PatientId { get; set; }
    public required string Name { get; set; }
    /// <summary>E.164, as it was then.</summary>
    public required string Number { get; set; }
    /// <summary>As of <see cref="PatientRow.AgreedToTextsAt"/>, then.</summary>
    public Instant? AgreedToTextsAt { get; set; }
    /// <summary>Date of birth as it stood then; null: not known.</summary>
    public LocalDate? BornOn { get; set; }
    /// <summary>Language of care texts then; null: before it was asked.</summary>
    public string? Language { get; set; }
    /// <summary>Full name of who changed it; <c>the patient, by text</c> when the patient asked for another language.</summary>
    public required string ChangedBy { get; set; }
    public required Instant ChangedAt { get; set; }
}

/// <summary>The tables of patients and of changes to their entries.</summary>
internal static class PatientTable
{
    extension(PortalDb db)
    {
        public DbSet<PatientRow> Patients => db.Set<PatientRow>();
        public DbSet<PatientChangeRow> PatientChanges => db.Set<PatientChangeRow>();

        /// <summary>Puts how an entry stands that nobody has changed yet, such as one that came with an intake, into the current unit of work, right before it is changed.</summary>
        public async Task KeepAsItWas(PatientRow row, Instant now, CancellationToken stop)
        {
            if (await db.PatientChanges.AnyAsync(c => c.PatientId == row.Id, stop)) return;
            db.Add(new PatientChangeRow { PatientId = row.Id, Name = row.Name, Number = row.Number, AgreedToTextsAt = row.AgreedToTextsAt, Language = row.Language, BornOn = row.BornOn, ChangedBy = "as it stood until then", ChangedAt = now - Duration.FromSeconds(1) });
        }

        /// <summary>Holds one patient until the transaction ends: whoever else would hold her waits, and then sees what was written.</summary>
        public Task HoldPatient(Guid id, CancellationToken stop) => db.Patients.Where(p => p.Id == id).ExecuteUpdateAsync(set => set.SetProperty(p => p.Name, p => p.Name), stop);
    }

    /// <summary>How they are stored: of two who change an entry in the same moment the second is refused.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<PatientRow>, IEntityTypeConfiguration<PatientChangeRow>
    {
        public void Configure(EntityTypeBuilder<PatientRow> patient)
        {
            patient.ToTable("Patients");
            patient.Property(p => p.Number).HasMaxLength(20);
            patient.Property(p => p.Language).HasMaxLength(5);
            // Of two who save in the same moment the second is told.
            foreach (var changed in new[] { nameof(PatientRow.Name), nameof(PatientRow.Number), nameof(PatientRow.Language), nameof(PatientRow.AgreedToTextsAt), nameof(PatientRow.BornOn) }) patient.Property(changed).IsConcurrencyToken();
            patient.HasIndex(p => new { p.ClinicId, p.Number });
        }

        public void Configure(EntityTypeBuilder<PatientChangeRow> change)
        {
            change.ToTable("PatientChanges");
            change.Property(c => c.Number).HasMaxLength(20);
            change.Property(c => c.Language).HasMaxLength(5);
            change.Property(c => c.ChangedBy).HasMaxLength(200);
            change.HasIndex(c => new { c.PatientId, c.ChangedAt });
        }
    }
}
