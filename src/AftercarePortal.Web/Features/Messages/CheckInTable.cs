using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>One check-in answer of a patient: a pain or a letter. Only added.</summary>
internal sealed class CheckInRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    /// <summary>The number it came from, E.164.</summary>
    public required string Number { get; set; }
    /// <summary>The message it was read from.</summary>
    public required Guid MessageId { get; set; }
    /// <summary>Pain from 0 (none) to 10; null when a letter was sent.</summary>
    public int? Pain { get; set; }
    /// <summary>The letter, small; null when a pain was sent.</summary>
    public string? Letter { get; set; }
    /// <summary>When that message was written.</summary>
    public required Instant At { get; set; }
}

/// <summary>The table of check-in answers.</summary>
internal static class CheckInTable
{
    extension(PortalDb db)
    {
        public DbSet<CheckInRow> CheckIns => db.Set<CheckInRow>();
    }

    /// <summary>How they are stored: found by number and time.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<CheckInRow>
    {
        public void Configure(EntityTypeBuilder<CheckInRow> told)
        {
            told.ToTable("CheckIns");
            told.Property(c => c.Number).HasMaxLength(64);
            told.Property(c => c.Letter).HasMaxLength(1);
            told.HasIndex(c => new { c.ClinicId, c.Number, c.At });
        }
    }
}
