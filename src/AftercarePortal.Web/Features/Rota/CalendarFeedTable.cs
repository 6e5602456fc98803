using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>A secret link under which a calendar program fetches shifts, until it is revoked.</summary>
internal sealed class CalendarFeedRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public Guid ClinicId { get; set; }
    /// <summary>Staff id of whose shifts it holds; null: everybody's.</summary>
    public string? Person { get; set; }
    /// <summary>Hash of the link's secret; the secret itself is stored nowhere.</summary>
    public required string SecretHash { get; set; }
    /// <summary>Staff id.</summary>
    public required string MadeBy { get; set; }
    public required Instant MadeAt { get; set; }
    /// <summary>Null: the link works, for <see cref="CalendarFeedTable.Lasts"/>.</summary>
    public Instant? RevokedAt { get; set; }
}

/// <summary>The table of calendar links.</summary>
internal static class CalendarFeedTable
{
    /// <summary>So long a link works; then a new one is made. Common practice, no source.</summary>
    public static readonly Duration Lasts = Duration.FromDays(365);

    extension(PortalDb db)
    {
        public DbSet<CalendarFeedRow> CalendarFeeds => db.Set<CalendarFeedRow>();

        /// <summary>The links that work.</summary>
        public IQueryable<CalendarFeedRow> WorkingFeeds(Instant now)
        {
            var since = now - Lasts;
            return db.CalendarFeeds.Where(f => f.RevokedAt == null && f.MadeAt > since);
        }
    }

    /// <summary>How they are stored: a secret opens one feed.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<CalendarFeedRow>
    {
        public void Configure(EntityTypeBuilder<CalendarFeedRow> feed)
        {
            feed.ToTable("CalendarFeeds");
            feed.Property(f => f.Person).HasMaxLength(100);
            feed.Property(f => f.MadeBy).HasMaxLength(100);
            feed.Property(f => f.SecretHash).HasMaxLength(64);
            feed.HasIndex(f => f.SecretHash).IsUnique();
        }
    }
}
