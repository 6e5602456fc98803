using AftercarePortal.Clinical.Escalations;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>One person on call from one instant to another.</summary>
internal sealed class ShiftRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    /// <summary>Id of the member of staff.</summary>
    public required string Person { get; set; }
    /// <summary>E.164 number pages go to.</summary>
    public required string Number { get; set; }
    /// <summary>Start, inclusive.</summary>
    public required Instant From { get; set; }
    /// <summary>End, exclusive.</summary>
    public required Instant To { get; set; }
    /// <summary>1 is paged first, 2 next, and so on.</summary>
    public required int Order { get; set; }

    /// <summary>The same to the core.</summary>
    public Shift AsShift() => new(Person, From, To, Order);
}

/// <summary>The table of shifts.</summary>
internal static class ShiftTable
{
    extension(PortalDb db)
    {
        public DbSet<ShiftRow> Shifts => db.Set<ShiftRow>();
    }

    /// <summary>How they are stored: found by when they end.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<ShiftRow>
    {
        public void Configure(EntityTypeBuilder<ShiftRow> shift)
        {
            shift.ToTable("Shifts");
            shift.Property(s => s.Person).HasMaxLength(100);
            shift.Property(s => s.Number).HasMaxLength(20);
            shift.HasIndex(s => new { s.ClinicId, s.To });
        }
    }
}
