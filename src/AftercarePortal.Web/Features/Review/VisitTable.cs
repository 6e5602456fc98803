using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Intake;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>How an invitation to a consultation stood after somebody wrote, moved or cancelled it. Only added: the latest counts.</summary>
internal sealed class VisitRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>From 1 for each intake; unique. One less is the sequence of the calendar file (RFC 5545, 3.8.7.4).</summary>
    public required int Number { get; set; }
    /// <summary>When it begins; of a cancelled one, when it would have begun.</summary>
    public required Instant StartsAt { get; set; }
    /// <summary>5 to 480.</summary>
    public required int Minutes { get; set; }
    /// <summary>Where, as the person reads it; may be empty.</summary>
    public required string Place { get; set; }
    /// <summary>It was called off; day, length and place are those it had.</summary>
    public required bool Cancelled { get; set; }
    /// <summary>Full name of who wrote, moved or cancelled it.</summary>
    public required string WrittenBy { get; set; }
    public required Instant WrittenAt { get; set; }
}

/// <summary>The table of what was written about visits.</summary>
internal static class VisitTable
{
    extension(PortalDb db)
    {
        public DbSet<VisitRow> Visits => db.Set<VisitRow>();

        /// <summary>The latest word about a visit, or null.</summary>
        public Task<VisitRow?> LatestVisitOf(Guid intakeId, CancellationToken stop) =>
            db.Visits.AsNoTracking().Where(v => v.IntakeId == intakeId).OrderByDescending(v => v.Number).FirstOrDefaultAsync(stop);
    }

    /// <summary>How they are stored: a number once for each intake, which then cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<VisitRow>
    {
        public void Configure(EntityTypeBuilder<VisitRow> visit)
        {
            visit.ToTable("Visits");
            visit.Property(v => v.Place).HasMaxLength(200);
            visit.Property(v => v.WrittenBy).HasMaxLength(200);
            visit.HasIndex(v => new { v.IntakeId, v.Number }).IsUnique();
            visit.HasOne<IntakeRow>().WithMany().HasForeignKey(v => v.IntakeId).OnDelete(DeleteBehavior.Restrict);
        }
    }
}
