using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

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
    /// <summary>When the patient agreed to care texts; null: none are sent.</summary>
    public Instant? AgreedToTextsAt { get; set; }
    /// <summary>Language of care texts: <c>en</c> or <c>es</c>.</summary>
    public string Language { get; set; } = "en";

    /// <summary>What the entry is, to tell whether a page showed the same.</summary>
    public string Mark() => SeenMark.Of(Name, Number, AgreedToTextsAt is null ? "no care texts" : "care texts", Language);
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
            foreach (var changed in new[] { nameof(PatientRow.Name), nameof(PatientRow.Number), nameof(PatientRow.Language), nameof(PatientRow.AgreedToTextsAt) }) patient.Property(changed).IsConcurrencyToken();
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
