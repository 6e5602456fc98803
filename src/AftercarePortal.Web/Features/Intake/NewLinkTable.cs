using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>That a sent intake was given a new private link, which opens all its answers. Only added; the link itself is kept nowhere.</summary>
internal sealed class NewLinkRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>Who made it and handed it over; null: it was asked for on the clinic's page and texted to the number that was given.</summary>
    public required string? MadeBy { get; set; }
    public required Instant MadeAt { get; set; }
}

/// <summary>The table of new private links.</summary>
internal static class NewLinkTable
{
    extension(PortalDb db)
    {
        public DbSet<NewLinkRow> NewLinks => db.Set<NewLinkRow>();
    }

    /// <summary>How they are stored: an intake that got a new link cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<NewLinkRow>
    {
        public void Configure(EntityTypeBuilder<NewLinkRow> link)
        {
            link.ToTable("IntakeNewLinks");
            link.Property(l => l.MadeBy).HasMaxLength(200);
            link.HasIndex(l => new { l.IntakeId, l.MadeAt });
            link.HasOne<IntakeRow>().WithMany().HasForeignKey(l => l.IntakeId).OnDelete(DeleteBehavior.Restrict);
        }
    }
}
