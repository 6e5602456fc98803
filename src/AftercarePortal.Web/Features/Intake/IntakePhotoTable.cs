using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>One photo a person added to an open intake. Goes with it: sent or forgotten.</summary>
internal sealed class IntakePhotoRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public required Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>Unique with the intake.</summary>
    public required FaceView View { get; set; }
    /// <summary>Encrypted: the picture made anew, without the file's metadata.</summary>
    public byte[] Sealed { get; set; } = [];
    /// <summary>Encrypted: the same, small.</summary>
    public byte[] SealedSmall { get; set; } = [];
    /// <summary>Pixels of the kept picture.</summary>
    public required int Width { get; set; }
    /// <inheritdoc cref="Width" />
    public required int Height { get; set; }
    /// <summary>Variance of the Laplacian (<see cref="Clinical.Photos.PhotoQuality"/>).</summary>
    public required double Sharpness { get; set; }
    /// <summary>Mean grey, 0 to 255.</summary>
    public required double Brightness { get; set; }
    public required Instant AddedAt { get; set; }
}

/// <summary>What a photo shows, by the person's own sides.</summary>
internal enum FaceView { Front, Left, Right }

/// <summary>The table of an intake's photos.</summary>
internal static class IntakePhotoTable
{
    extension(PortalDb db)
    {
        public DbSet<IntakePhotoRow> IntakePhotos => db.Set<IntakePhotoRow>();

        /// <summary>Everything of an intake's photos but the pictures.</summary>
        public async Task<List<IntakePhotoRow>> PhotosOf(Guid intakeId, CancellationToken stop) =>
            await db.Set<IntakePhotoRow>().AsNoTracking().Where(p => p.IntakeId == intakeId).Select(p => new IntakePhotoRow
            {
                Id = p.Id, ClinicId = p.ClinicId, IntakeId = p.IntakeId, View = p.View, Width = p.Width, Height = p.Height, Sharpness = p.Sharpness, Brightness = p.Brightness, AddedAt = p.AddedAt,
            }).ToListAsync(stop);
    }

    extension(IntakePhotoRow photo)
    {
        /// <summary>Where its encrypted picture belongs: clinic, intake and row. Moved anywhere else it does not open.</summary>
        public string Place(bool small) => $"{photo.ClinicId}|{photo.IntakeId}|{photo.Id}|{(small ? "small" : "picture")}";

        /// <summary>What was measured, with the shorter side of the kept picture.</summary>
        public Clinical.Photos.PhotoQuality Quality => new(photo.Sharpness, photo.Brightness, Math.Min(photo.Width, photo.Height));

        /// <summary>Pixels of the small picture.</summary>
        public (int Width, int Height) SmallSize
        {
            get
            {
                var scale = Math.Min(1.0, 320.0 / Math.Max(1, Math.Max(photo.Width, photo.Height)));
                return ((int)Math.Round(photo.Width * scale), (int)Math.Round(photo.Height * scale));
            }
        }
    }

    /// <summary>How they are stored: a photo goes with its intake.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<IntakePhotoRow>
    {
        public void Configure(EntityTypeBuilder<IntakePhotoRow> photo)
        {
            photo.ToTable("IntakePhotos");
            photo.Property(p => p.View).HasMaxLength(10);
            photo.HasIndex(p => new { p.IntakeId, p.View }).IsUnique();
            photo.HasOne<IntakeRow>().WithMany().HasForeignKey(p => p.IntakeId).OnDelete(DeleteBehavior.Cascade);
        }
    }
}
