using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Somebody is away and takes no shift from one instant to another.</summary>
internal sealed class AbsenceRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    /// <summary>Id of the member of staff.</summary>
    public required string Person { get; set; }
    /// <summary>Start, inclusive.</summary>
    public required Instant From { get; set; }
    /// <summary>End, exclusive.</summary>
    public required Instant To { get; set; }
    /// <summary>Full name of whoever entered it.</summary>
    public required string EnteredBy { get; set; }
    public required Instant EnteredAt { get; set; }
}

/// <summary>The table of who is away.</summary>
internal static class AbsenceTable
{
    extension(PortalDb db)
    {
        public DbSet<AbsenceRow> Absences => db.Set<AbsenceRow>();

        /// <summary>Who is away from now on or later, the earliest first.</summary>
        public Task<List<AbsenceRow>> AbsencesFrom(Instant now, CancellationToken stop) => db.Absences.AsNoTracking().Where(a => a.To > now).OrderBy(a => a.From).ThenBy(a => a.Id).ToListAsync(stop);
    }

    /// <summary>How they are stored: found by when they end.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<AbsenceRow>
    {
        public void Configure(EntityTypeBuilder<AbsenceRow> absence)
        {
            absence.ToTable("Absences");
            absence.Property(a => a.Person).HasMaxLength(100);
            absence.Property(a => a.EnteredBy).HasMaxLength(200);
            absence.HasIndex(a => new { a.ClinicId, a.To });
        }
    }
}
