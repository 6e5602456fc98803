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
    public required string StaffId { get; set; }
    /// <summary>Full name, for whoever else opens this patient.</summary>
    public required string StaffName { get; set; }
    /// <summary>A <see cref="RecordForm"/> as JSON.</summary>
    public required string Form { get; set; }
    public required Instant SavedAt { get; set; }
}

internal static class DraftTable
{
    extension(PortalDb db)
    {
        public DbSet<TreatmentDraftRow> TreatmentDrafts => db.Set<TreatmentDraftRow>();
    }

    internal sealed class Mapping : IEntityTypeConfiguration<TreatmentDraftRow>
    {
        public void Configure(EntityTypeBuilder<TreatmentDraftRow> draft)
        {
            draft.ToTable("TreatmentDrafts");
            draft.Property(d => d.StaffId).HasMaxLength(64);
            draft.Property(d => d.StaffName).HasMaxLength(200);
            draft.HasIndex(d => new { d.PatientId, d.StaffId }).IsUnique();
            draft.HasOne<PatientRow>().WithMany().HasForeignKey(d => d.PatientId).OnDelete(DeleteBehavior.Cascade);
        }
    }
}
