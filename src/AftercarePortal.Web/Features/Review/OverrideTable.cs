using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Intake;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>What a clinician made of one finding of one intake. Only added and kept for ever; the finding itself stays as it was.</summary>
internal sealed class OverrideRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>The finding's rule.</summary>
    public required string RuleId { get; set; }
    /// <summary>From 1 for each finding; unique, so of two clinicians at once one is told.</summary>
    public required int Number { get; set; }
    /// <summary>What it counts as for this person; null: set aside.</summary>
    public FindingKind? Becomes { get; set; }
    /// <summary>Why.</summary>
    public required string Reason { get; set; }
    /// <summary>What follows from it: what is done instead, watched, or asked for.</summary>
    public required string Consequence { get; set; }
    /// <summary>Full name of who decided.</summary>
    public required string DecidedBy { get; set; }
    public required Instant DecidedAt { get; set; }
}

/// <summary>The table of what clinicians made of findings.</summary>
internal static class OverrideTable
{
    extension(PortalDb db)
    {
        public DbSet<OverrideRow> Overrides => db.Set<OverrideRow>();
    }

    /// <summary>How they are stored: a number once for each finding of an intake, which then cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<OverrideRow>
    {
        public void Configure(EntityTypeBuilder<OverrideRow> row)
        {
            row.ToTable("FindingOverrides");
            row.Property(o => o.RuleId).HasMaxLength(100);
            row.Property(o => o.DecidedBy).HasMaxLength(200);
            row.HasIndex(o => new { o.IntakeId, o.RuleId, o.Number }).IsUnique();
            row.HasOne<IntakeRow>().WithMany().HasForeignKey(o => o.IntakeId).OnDelete(DeleteBehavior.Restrict);
        }
    }
}
