using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Intake;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>A practice lead said that a course is over and how many sessions of skin treatment it held: no record tells that. Only added: the latest counts.</summary>
internal sealed class CourseEndRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public Guid ClinicId { get; set; }
    /// <summary>The intake whose quote the course is compared with.</summary>
    public required Guid IntakeId { get; set; }
    /// <summary>Sessions of skin treatment, 0 to 50.</summary>
    public required int Sessions { get; set; }
    /// <summary>Full name of who said so.</summary>
    public required string EndedBy { get; set; }
    public required Instant EndedAt { get; set; }
}

/// <summary>The table of courses that were said to be over.</summary>
internal static class CourseEndTable
{
    extension(PortalDb db)
    {
        public DbSet<CourseEndRow> CourseEnds => db.Set<CourseEndRow>();
    }

    /// <summary>How they are stored: an intake whose course is over cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<CourseEndRow>
    {
        public void Configure(EntityTypeBuilder<CourseEndRow> end)
        {
            end.ToTable("CourseEnds");
            end.Property(e => e.EndedBy).HasMaxLength(200);
            end.HasOne<IntakeRow>().WithMany().HasForeignKey(e => e.IntakeId).OnDelete(DeleteBehavior.Restrict);
            end.HasIndex(e => new { e.IntakeId, e.EndedAt });
        }
    }
}
