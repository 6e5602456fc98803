using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>One photo staff added to a patient to measure on.</summary>
internal sealed class ProfilePhotoRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    public required Guid PatientId { get; init; }
    public required ProfileView View { get; init; }
    /// <summary>The picture, made anew without metadata and encrypted.</summary>
    public required byte[] Sealed { get; init; }
    /// <summary>Pixels of the kept picture.</summary>
    public required int Width { get; init; }
    /// <inheritdoc cref="Width" />
    public required int Height { get; init; }
    /// <summary>Tenths of a millimetre between the ends of the scale; null: no scale.</summary>
    public int? ScaleTenthsMm { get; set; }
    /// <summary>Full name of who added it.</summary>
    public required string AddedBy { get; init; }
    public required Instant AddedAt { get; init; }
    /// <summary>The landmarks placed so far, each at most once.</summary>
    public List<MarkRow> Marks { get; init; } = [];
}

/// <summary>Which side the photo shows: the patient's own left or right, or the front.</summary>
internal enum ProfileView { Left, Right, Front }

/// <summary>One landmark as a person placed it last.</summary>
internal sealed class MarkRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    public Guid PhotoId { get; init; }
    /// <summary>Unique with the photo.</summary>
    public required Landmark Landmark { get; init; }
    /// <summary>Pixels of the kept picture.</summary>
    public required double X { get; set; }
    /// <inheritdoc cref="X" />
    public required double Y { get; set; }
    /// <summary>Full name of who placed it last.</summary>
    public required string PlacedBy { get; set; }
    /// <summary>When it was placed last.</summary>
    public required Instant PlacedAt { get; set; }
}

/// <summary>The tables of photos to measure on and of their landmarks.</summary>
internal static class ProfileTable
{
    extension(PortalDb db)
    {
        public DbSet<ProfilePhotoRow> ProfilePhotos => db.Set<ProfilePhotoRow>();
        public DbSet<MarkRow> Marks => db.Set<MarkRow>();
    }

    /// <summary>How they are stored: of two who move the same landmark or scale at once the second is refused.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<ProfilePhotoRow>, IEntityTypeConfiguration<MarkRow>
    {
        public void Configure(EntityTypeBuilder<ProfilePhotoRow> photo)
        {
            photo.ToTable("ProfilePhotos");
            photo.Property(p => p.Id).ValueGeneratedNever();
            photo.Property(p => p.View).HasMaxLength(10);
            photo.Property(p => p.AddedBy).HasMaxLength(200);
            photo.Property(p => p.ScaleTenthsMm).IsConcurrencyToken();
            photo.HasOne<PatientRow>().WithMany().HasForeignKey(p => p.PatientId).OnDelete(DeleteBehavior.Restrict);
            photo.HasMany(p => p.Marks).WithOne().HasForeignKey(m => m.PhotoId).OnDelete(DeleteBehavior.Cascade);
            photo.HasIndex(p => new { p.ClinicId, p.PatientId, p.AddedAt });
        }

        public void Configure(EntityTypeBuilder<MarkRow> mark)
        {
            mark.ToTable("ProfileMarks");
            mark.Property(m => m.Id).ValueGeneratedNever();
            mark.Property(m => m.Landmark).HasMaxLength(20);
            mark.Property(m => m.PlacedBy).HasMaxLength(200);
            mark.Property(m => m.X).IsConcurrencyToken();
            mark.Property(m => m.Y).IsConcurrencyToken();
            mark.HasIndex(m => new { m.PhotoId, m.Landmark }).IsUnique();
        }
    }
}
