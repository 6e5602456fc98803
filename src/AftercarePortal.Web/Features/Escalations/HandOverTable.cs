using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>A note from one shift to the next. Never changed but for who read it.</summary>
internal sealed class HandOverRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    /// <summary>Staff id.</summary>
    public required string WrittenBy { get; set; }
    public required Instant WrittenAt { get; set; }
    /// <summary>What the next one has to know, up to <see cref="HandOver.Longest"/> characters; empty: nothing but the open reports.</summary>
    public required string Text { get; set; }
    /// <summary>Ids of the reports open when it was written, parted by spaces.</summary>
    public required string OpenReports { get; set; }
    /// <summary>Staff id of who read it: somebody else than who wrote it.</summary>
    public string? ReadBy { get; set; }
    /// <summary>When they read it; null: nobody has.</summary>
    public Instant? ReadAt { get; set; }
}

/// <summary>The table of notes between shifts.</summary>
internal static class HandOverTable
{
    extension(PortalDb db)
    {
        public DbSet<HandOverRow> HandOvers => db.Set<HandOverRow>();
    }

    /// <summary>How they are stored: found by when they were written.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<HandOverRow>
    {
        public void Configure(EntityTypeBuilder<HandOverRow> note)
        {
            note.ToTable("HandOvers");
            note.Property(n => n.WrittenBy).HasMaxLength(100);
            note.Property(n => n.ReadBy).HasMaxLength(100);
            note.HasIndex(n => new { n.ClinicId, n.WrittenAt });
        }
    }
}
