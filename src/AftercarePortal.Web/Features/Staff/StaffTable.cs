using System.ComponentModel.DataAnnotations.Schema;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>One member of one clinic's staff.</summary>
/// <remarks>Not filtered by clinic, because signing in comes before the clinic is known: everything else reads <c>db.StaffOfClinic</c>.</remarks>
internal sealed class StaffRow : IdentityUser
{
    /// <summary>With lockout on: without it nobody could be let go (<see cref="IsLetGo"/>).</summary>
    public StaffRow() => LockoutEnabled = true;

    public required Guid ClinicId { get; set; }
    /// <summary>As patients and records show it; what was signed keeps the name of its day.</summary>
    public required string FullName { get; set; }
    /// <summary>Where this person is paged, E.164.</summary>
    public required string PageNumber { get; set; }
    public required StaffRole Role { get; set; }
    /// <summary>Key of the authenticator, protected by the data protection keys.</summary>
    public string? ProtectedKey { get; set; }
    /// <summary>When the authenticator was proved once; from then on its key is never shown again.</summary>
    public Instant? EnrolledAt { get; set; }
    /// <summary>Until when a first password, which somebody else has seen, opens the door; null: the password is the person's own.</summary>
    public Instant? FirstPasswordUntil { get; set; }
    /// <summary>Time step of the last code used; a code opens once.</summary>
    public long LastStep { get; set; }
    /// <summary>Tries at the door left unanswered by a whole sign-in, from browsers nobody knows.</summary>
    public int Tries { get; set; }
    /// <summary>Until when the door is shut to such browsers; null or past: it is open.</summary>
    public Instant? ShutUntil { get; set; }
    /// <summary>The same for browsers this person has signed in with before: a stranger's guesses do not shut the door for them.</summary>
    public int KnownTries { get; set; }
    /// <summary>Until when the door is shut to these; null or past: it is open.</summary>
    public Instant? KnownShutUntil { get; set; }

    /// <summary>Let in no more, until somebody who leads the practice lets this person in again.</summary>
    [NotMapped] public bool IsLetGo => LockoutEnd == DateTimeOffset.MaxValue;
}

/// <summary>What a member of staff does in the clinic.</summary>
internal enum StaffRole { Clinician, PracticeLead }

/// <summary>The table of staff.</summary>
internal static class StaffTable
{
    extension(PortalDb db)
    {
        /// <summary>Staff of every clinic; for signing in only.</summary>
        public DbSet<StaffRow> Staff => db.Set<StaffRow>();

        /// <summary>Staff of the clinic this unit of work belongs to.</summary>
        public IQueryable<StaffRow> StaffOfClinic => db.Set<StaffRow>().Where(s => s.ClinicId == db.ClinicId);
    }

    /// <summary>How they are stored: names to sign in with are unique over all clinics.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<StaffRow>
    {
        public void Configure(EntityTypeBuilder<StaffRow> staff)
        {
            staff.ToTable("Staff");
            staff.Property(s => s.Id).HasMaxLength(40);
            staff.Property(s => s.UserName).HasMaxLength(200);
            staff.Property(s => s.NormalizedUserName).HasMaxLength(200);
            staff.Property(s => s.FullName).HasMaxLength(200);
            staff.Property(s => s.PageNumber).HasMaxLength(20);
            staff.Property(s => s.Role).HasMaxLength(40);
            staff.Property(s => s.ConcurrencyStamp).IsConcurrencyToken();
            staff.HasIndex(s => s.NormalizedUserName).IsUnique();
            staff.HasIndex(s => s.ClinicId);
        }
    }
}
