using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>A member of staff got another number for pages. Only added.</summary>
internal sealed class NumberChangeRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    /// <summary>Staff id.</summary>
    public required string Person { get; set; }
    /// <summary>E.164, until then.</summary>
    public required string Before { get; set; }
    /// <summary>E.164, from then on.</summary>
    public required string Number { get; set; }
    /// <summary>Staff id of whoever changed it.</summary>
    public required string ChangedBy { get; set; }
    public required Instant ChangedAt { get; set; }
}

/// <summary>The table of numbers staff had before.</summary>
internal static class NumberChangeTable
{
    extension(PortalDb db)
    {
        public DbSet<NumberChangeRow> NumberChanges => db.Set<NumberChangeRow>();
    }

    /// <summary>How they are stored: found by person.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<NumberChangeRow>
    {
        public void Configure(EntityTypeBuilder<NumberChangeRow> change)
        {
            change.ToTable("NumberChanges");
            change.Property(c => c.Person).HasMaxLength(100);
            change.Property(c => c.Before).HasMaxLength(20);
            change.Property(c => c.Number).HasMaxLength(20);
            change.Property(c => c.ChangedBy).HasMaxLength(100);
            change.HasIndex(c => new { c.ClinicId, c.Person, c.ChangedAt });
        }
    }
}
