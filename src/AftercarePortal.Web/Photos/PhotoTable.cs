using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Photos;

/// <summary>One file that came with a message. Made in the same save as the message, before anything is fetched.</summary>
internal sealed class PhotoRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public required Guid ClinicId { get; set; }
    public required Guid MessageId { get; set; }
    /// <summary>Which of the message's files, from 0. Unique with the message.</summary>
    public required int Index { get; set; }
    public PhotoState State { get; set; } = PhotoState.Waiting;
    /// <summary>What the carrier said it was: a claim, not a fact. Empty until it was fetched.</summary>
    public string ContentType { get; set; } = "";
    /// <summary>Encrypted: the picture when kept, the file as it came when unreadable.</summary>
    public byte[]? Sealed { get; set; }
    /// <summary>Encrypted: the small picture; only when kept.</summary>
    public byte[]? SealedSmall { get; set; }
    /// <summary>Bytes as they came.</summary>
    public int OriginalBytes { get; set; }
    /// <summary>Pixels of the upright kept picture.</summary>
    public int Width { get; set; }
    /// <inheritdoc cref="Width" />
    public int Height { get; set; }
    /// <summary>When the carrier gave it to us.</summary>
    public Instant? FetchedAt { get; set; }
}

/// <summary>Where a photo stands.</summary>
internal enum PhotoState
{
    /// <summary>Still to be fetched; tried again and again.</summary>
    Waiting,
    /// <summary>Fetched, freed of metadata, encrypted.</summary>
    Kept,
    /// <summary>Fetched, but nothing we can show; kept encrypted as it came, unless it was too large.</summary>
    Unreadable,
    /// <summary>The carrier said for hours that it has it not, or never gave it within a day.</summary>
    Gone,
    /// <summary>Its address was not the carrier's: never opened.</summary>
    Refused,
}

internal static class PhotoTable
{
    extension(PortalDb db)
    {
        public DbSet<PhotoRow> Photos => db.Set<PhotoRow>();
    }

    internal sealed class Mapping : IEntityTypeConfiguration<PhotoRow>
    {
        public void Configure(EntityTypeBuilder<PhotoRow> photo)
        {
            photo.ToTable("Photos");
            photo.Property(p => p.State).HasMaxLength(20).IsConcurrencyToken();      // two workers at once: one of them keeps it
            photo.Property(p => p.ContentType).HasMaxLength(100);
            photo.HasIndex(p => new { p.MessageId, p.Index }).IsUnique();
        }
    }
}
