using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>What one person has typed into the record of one patient and not signed yet.</summary>
internal sealed class TreatmentDraftRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public Guid ClinicId { get; set; }
    public required Guid PatientId { get; set; }
    /// <summary>Whose draft it is; unique with the patient, so a person has one for each.</summary>
    public required string StaffId { get; set; }
    /// <summary>Full name, for whoever else opens this patient.</summary>
    public required string StaffName { get; set; }
    /// <summary>A <see cref="RecordForm"/> as JSON.</summary>
    public required string Form { get; set; }
    /// <summary>When the form was kept last.</summary>
    public required Instant SavedAt { get; set; }
}

/// <summary>A draft its writer threw away, as it was. Only added, and marked when it is taken up again.</summary>
internal sealed class ThrownDraftRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    public required Guid PatientId { get; init; }
    /// <summary>Who threw it away; only this person can take it up again.</summary>
    public required string StaffId { get; init; }
    /// <summary>Full name of the same person.</summary>
    public required string StaffName { get; init; }
    /// <summary>A <see cref="RecordForm"/> as JSON.</summary>
    public required string Form { get; init; }
    public required Instant ThrownAt { get; init; }
    /// <summary>Null: it was not taken up again.</summary>
    public Instant? TakenUpAt { get; set; }
}

/// <summary>The tables of records not signed yet and of those thrown away.</summary>
internal static class DraftTable
{
    extension(PortalDb db)
    {
        public DbSet<TreatmentDraftRow> TreatmentDrafts => db.Set<TreatmentDraftRow>();
        public DbSet<ThrownDraftRow> ThrownDrafts => db.Set<ThrownDraftRow>();
    }

    /// <summary>How they are stored: one open draft for each person and patient; all of them go with the patient.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<TreatmentDraftRow>, IEntityTypeConfiguration<ThrownDraftRow>
    {
        public void Configure(EntityTypeBuilder<TreatmentDraftRow> draft)
        {
            draft.ToTable("TreatmentDrafts");
            draft.Property(d => d.StaffId).HasMaxLength(64);
            draft.Property(d => d.StaffName).HasMaxLength(200);
            draft.HasIndex(d => new { d.PatientId, d.StaffId }).IsUnique();
            draft.HasOne<PatientRow>().WithMany().HasForeignKey(d => d.PatientId).OnDelete(DeleteBehavior.Cascade);
        }

        public void Configure(EntityTypeBuilder<ThrownDraftRow> draft)
        {
            draft.ToTable("ThrownDrafts");
            draft.Property(d => d.Id).ValueGeneratedNever();
            draft.Property(d => d.StaffId).HasMaxLength(64);
            draft.Property(d => d.StaffName).HasMaxLength(200);
            draft.HasIndex(d => new { d.ClinicId, d.PatientId, d.ThrownAt });
            draft.HasOne<PatientRow>().WithMany().HasForeignKey(d => d.PatientId).OnDelete(DeleteBehavior.Cascade);
        }
    }
}
