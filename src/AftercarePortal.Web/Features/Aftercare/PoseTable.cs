using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Photos;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>Which pose a photo that came by text shows, as a person said.</summary>
internal sealed class PoseRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    /// <summary>A <see cref="PhotoRow"/>; unique, so the last word counts.</summary>
    public required Guid PhotoId { get; init; }
    public required ProfileView View { get; set; }
    /// <summary>Full name of who said so last.</summary>
    public required string SetBy { get; set; }
    /// <summary>When it was said last.</summary>
    public required Instant SetAt { get; set; }
}

/// <summary>The table of poses.</summary>
internal static class PoseTable
{
    extension(PortalDb db)
    {
        public DbSet<PoseRow> Poses => db.Set<PoseRow>();
    }

    /// <summary>How they are stored: a pose goes with its photo.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<PoseRow>
    {
        public void Configure(EntityTypeBuilder<PoseRow> pose)
        {
            pose.ToTable("PhotoPoses");
            pose.Property(p => p.Id).ValueGeneratedNever();
            pose.Property(p => p.View).HasMaxLength(10);
            pose.Property(p => p.SetBy).HasMaxLength(200);
            pose.HasOne<PhotoRow>().WithMany().HasForeignKey(p => p.PhotoId).OnDelete(DeleteBehavior.Cascade);
            pose.HasIndex(p => p.PhotoId).IsUnique();
        }
    }
}
