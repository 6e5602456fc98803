using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>One session of one member of staff, from the second factor on. A cookie opens something only while its session lasts.</summary>
/// <remarks>Not filtered by clinic, like its <see cref="StaffRow"/>: it is looked at before the clinic is known.</remarks>
internal sealed class StaffSessionRow
{
    /// <summary>As the cookie names it.</summary>
    public required Guid Id { get; init; }
    public required string StaffId { get; init; }
    public required Instant BeganAt { get; init; }
    /// <summary>When it was signed out or its screen was taken back; null: it lasts, <see cref="StaffSessionTable.Longest"/> at the most.</summary>
    public Instant? EndedAt { get; set; }
    /// <summary>Wrong tries where this session has to show password and code again.</summary>
    public int Tries { get; set; }
    /// <summary>Until when it may not try again; null or past: it may.</summary>
    public Instant? ShutUntil { get; set; }
}

/// <summary>The table of sessions.</summary>
internal static class StaffSessionTable
{
    /// <summary>No session lasts longer than a long shift, however busy it is: common practice, no source.</summary>
    public static readonly Duration Longest = Duration.FromHours(12);

    private static readonly Duration Kept = Duration.FromDays(30);

    extension(PortalDb db)
    {
        public DbSet<StaffSessionRow> StaffSessions => db.Set<StaffSessionRow>();

        /// <summary>Begins a session; returns its id. What is long over is forgotten.</summary>
        public async Task<Guid> BeginSession(string staffId, Instant now)
        {
            var (session, old) = (new StaffSessionRow { Id = Guid.NewGuid(), StaffId = staffId, BeganAt = now }, now - Kept);
            await db.StaffSessions.Where(s => s.StaffId == staffId && s.BeganAt < old).ExecuteDeleteAsync();
            db.Add(session);
            await db.SaveChangesAsync();
            return session.Id;
        }

        /// <summary>Ends a session for every copy of its cookie.</summary>
        public Task EndSession(Guid session, Instant now, CancellationToken stop) =>
            db.StaffSessions.Where(s => s.Id == session && s.EndedAt == null).ExecuteUpdateAsync(set => set.SetProperty(s => s.EndedAt, now), stop);

        /// <summary>True while a session of this person lasts.</summary>
        public Task<bool> SessionLasts(Guid session, string staffId, Instant now)
        {
            var since = now - Longest;
            return db.StaffSessions.AnyAsync(s => s.Id == session && s.StaffId == staffId && s.EndedAt == null && s.BeganAt > since);
        }
    }

    internal sealed class Mapping : IEntityTypeConfiguration<StaffSessionRow>
    {
        public void Configure(EntityTypeBuilder<StaffSessionRow> session)
        {
            session.ToTable("StaffSessions");
            session.Property(s => s.Id).ValueGeneratedNever();
            session.Property(s => s.StaffId).HasMaxLength(40);
            session.HasIndex(s => new { s.StaffId, s.BeganAt });
        }
    }
}
