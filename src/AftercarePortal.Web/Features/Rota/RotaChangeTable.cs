using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>What somebody did with the rota. Only added: a shift that was taken away before it began is still to be found here.</summary>
internal sealed class RotaChangeRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    public required RotaChange What { get; init; }
    /// <summary>Staff id of whose shift it was or is.</summary>
    public required string Person { get; init; }
    /// <summary>Begin and end of what was put on the rota or taken off it.</summary>
    public required Instant From { get; init; }
    public required Instant To { get; init; }
    /// <summary>Staff id of who did it.</summary>
    public required string By { get; init; }
    public required Instant At { get; init; }
}

/// <summary>What was done with a stretch of somebody's duty.</summary>
internal enum RotaChange { PutOn, TakenOff }

/// <summary>The table of changes of the rota.</summary>
internal static class RotaChangeTable
{
    extension(PortalDb db)
    {
        public DbSet<RotaChangeRow> RotaChanges => db.Set<RotaChangeRow>();
    }

    internal sealed class Mapping : IEntityTypeConfiguration<RotaChangeRow>
    {
        public void Configure(EntityTypeBuilder<RotaChangeRow> change)
        {
            change.ToTable("RotaChanges");
            change.Property(c => c.Id).ValueGeneratedNever();
            change.Property(c => c.Person).HasMaxLength(40);
            change.Property(c => c.By).HasMaxLength(40);
            change.Property(c => c.What).HasMaxLength(20);
            change.HasIndex(c => new { c.ClinicId, c.At });
        }
    }
}
