using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Access;

/// <summary>A screen in a patient's hands: until it is unlocked, the staff session it came from opens that one page and nothing else.</summary>
internal sealed class LentScreenRow : IClinicRow
{
    public Guid Id { get; init; } = OrderedId.New();
    public Guid ClinicId { get; init; }
    /// <summary>The session of the browser, as its cookie names it.</summary>
    public required Guid Session { get; init; }
    /// <summary>Whose session it is.</summary>
    public required string StaffId { get; init; }
    /// <summary>Path of the one page.</summary>
    public required string Screen { get; init; }
    public required Instant LentAt { get; init; }
    /// <summary>When the screen was taken back or the session ended at the lock. Whoever took it back got a new session; this one opens nothing any more.</summary>
    public Instant? UnlockedAt { get; set; }
}

/// <summary>What a session was bound to.</summary>
/// <param name="Screen">Path of the one page.</param>
/// <param name="Over">It was taken back: a copy of the session's cookie opens nothing.</param>
internal sealed record LentScreen(string Screen, bool Over);

internal static class LentScreenTable
{
    extension(PortalDb db)
    {
        public DbSet<LentScreenRow> LentScreens => db.Set<LentScreenRow>();

        /// <summary>The page a session is or was bound to; null: it never was. Of two handed over at once the first counts.</summary>
        public Task<LentScreen?> LentScreenOf(Guid session, CancellationToken stop) =>
            db.LentScreens.Where(h => h.Session == session).OrderBy(h => h.Id).Select(h => new LentScreen(h.Screen, h.UnlockedAt != null)).FirstOrDefaultAsync(stop);

        /// <summary>Binds a session to one page.</summary>
        public Task Lend(Guid session, string staffId, string screen, Instant now, CancellationToken stop)
        {
            db.Add(new LentScreenRow { Session = session, StaffId = staffId, Screen = screen, LentAt = now });
            return db.SaveChangesAsync(stop);
        }

        /// <summary>Ends a session whose screen was taken back.</summary>
        public Task TakeBack(Guid session, Instant now, CancellationToken stop) =>
            db.LentScreens.Where(h => h.Session == session && h.UnlockedAt == null).ExecuteUpdateAsync(set => set.SetProperty(h => h.UnlockedAt, now), stop);
    }

    internal sealed class Mapping : IEntityTypeConfiguration<LentScreenRow>
    {
        public void Configure(EntityTypeBuilder<LentScreenRow> lent)
        {
            lent.ToTable("LentScreens");
            lent.Property(h => h.Id).ValueGeneratedNever();
            lent.Property(h => h.StaffId).HasMaxLength(40);
            lent.Property(h => h.Screen).HasMaxLength(200);
            lent.HasIndex(h => new { h.Session, h.UnlockedAt });
        }
    }
}
