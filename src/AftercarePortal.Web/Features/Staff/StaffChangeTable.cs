using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>What somebody who leads the practice did with an account. Only added.</summary>
internal sealed class StaffChangeRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    /// <summary>Staff id of whose account it is.</summary>
    public required string StaffId { get; init; }
    public required StaffChange What { get; init; }
    /// <summary>Staff id of who did it; null: it was done on the machine itself.</summary>
    public required string? By { get; init; }
    public required Instant At { get; init; }
}

/// <summary>What was done with an account.</summary>
internal enum StaffChange { Added, StartedAnew, LetGo, LetInAgain }

/// <summary>The table of changes of accounts.</summary>
internal static class StaffChangeTable
{
    extension(PortalDb db)
    {
        public DbSet<StaffChangeRow> StaffChanges => db.Set<StaffChangeRow>();

        /// <summary>Adds it to the current unit of work, with the job that tells the person and ends what the account could open.</summary>
        public void KeepStaffChange(string staffId, StaffChange what, string? by, Instant now)
        {
            var change = new StaffChangeRow { StaffId = staffId, What = what, By = by, At = now };
            db.Add(change);
            db.Enqueue(StaffJobs.Changed, change.Id.ToString(), now, JobTable.EverydayLane);
        }
    }

    extension(StaffChange what)
    {
        /// <summary>In words, after somebody's name: "was …".</summary>
        public string Words => what switch
        {
            StaffChange.Added => "added",
            StaffChange.StartedAnew => "given a new password and authenticator",
            StaffChange.LetGo => "let in no more",
            _ => "let in again with a new password and authenticator",
        };
    }

    internal sealed class Mapping : IEntityTypeConfiguration<StaffChangeRow>
    {
        public void Configure(EntityTypeBuilder<StaffChangeRow> change)
        {
            change.ToTable("StaffChanges");
            change.Property(c => c.Id).ValueGeneratedNever();
            change.Property(c => c.StaffId).HasMaxLength(40);
            change.Property(c => c.By).HasMaxLength(40);
            change.Property(c => c.What).HasMaxLength(20);
            change.HasIndex(c => new { c.StaffId, c.At });
        }
    }
}
