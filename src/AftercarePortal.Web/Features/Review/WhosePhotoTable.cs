using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>What a person said of whether a photo on a patient's pages shows this patient. Only added; the last word counts. The photo itself is kept.</summary>
internal sealed class WhosePhotoRow : IClinicRow
{
    public Guid Id { get; init; } = OrderedId.New();
    public Guid ClinicId { get; init; }
    public required Guid PatientId { get; init; }
    /// <summary>A photo to measure on, or one that came by text.</summary>
    public required Guid PhotoId { get; init; }
    /// <summary>False: it shows somebody else, and leaves the pages of this patient.</summary>
    public required bool ShowsPatient { get; init; }
    /// <summary>How that is known, up to 500 letters; empty where it was put back.</summary>
    public required string Why { get; init; }
    /// <summary>Full name.</summary>
    public required string SaidBy { get; init; }
    public required Instant SaidAt { get; init; }
}

/// <summary>The table of whose photo it is.</summary>
internal static class WhosePhotoTable
{
    extension(PortalDb db)
    {
        /// <summary>What was said last of each photo taken off the pages of this patient; the latest first.</summary>
        public async Task<IReadOnlyList<WhosePhotoRow>> PhotosOfSomebodyElse(Guid patient, CancellationToken stop) =>
        [
            .. (await db.Set<WhosePhotoRow>().AsNoTracking().Where(p => p.PatientId == patient).ToListAsync(stop))
                .OrderByDescending(p => p.SaidAt).ThenByDescending(p => p.Id).DistinctBy(p => p.PhotoId).Where(p => !p.ShowsPatient),
        ];
    }

    /// <summary>How they are stored.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<WhosePhotoRow>
    {
        public void Configure(EntityTypeBuilder<WhosePhotoRow> photo)
        {
            photo.ToTable("WhosePhotos");
            photo.Property(p => p.Id).ValueGeneratedNever();
            photo.Property(p => p.Why).HasMaxLength(WhosePhoto.LongestWhy);
            photo.Property(p => p.SaidBy).HasMaxLength(200);
            photo.HasOne<PatientRow>().WithMany().HasForeignKey(p => p.PatientId).OnDelete(DeleteBehavior.Restrict);
            photo.HasIndex(p => new { p.ClinicId, p.PatientId });
        }
    }
}
