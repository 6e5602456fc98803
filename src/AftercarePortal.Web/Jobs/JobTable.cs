using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Jobs;

/// <summary>A promise to do something at or after an instant, stored in the same save as its cause.</summary>
internal sealed class JobRow : IOneOfMany
{
    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    /// <summary>Names the handler.</summary>
    public required string Kind { get; set; }
    /// <summary>Id of the row it is about; never a word of a patient.</summary>
    public required string Subject { get; set; }
    /// <summary>Not before this instant; moved on after a failure.</summary>
    public required Instant DueAt { get; set; }
    /// <summary>Smaller goes first when several are due: 0 pages and safety replies, 1 reading, 2 calls and questions to the carrier, 5 what else is soon, 9 aftercare, 19 learning. From <see cref="JobTable.SlowLane"/> on it has a worker of its own.</summary>
    public required int Lane { get; set; }
    /// <summary>How often a worker began it; one that lost its lease is told by it and changes nothing.</summary>
    public int Attempts { get; set; }
    /// <summary>Until when one worker holds it.</summary>
    public Instant? LeasedUntil { get; set; }
    /// <summary>When it was done, or a parked one was replaced by a new job; null: neither.</summary>
    public Instant? DoneAt { get; set; }
    /// <summary>Set after the last attempt: a person must look.</summary>
    public Instant? ParkedAt { get; set; }
    /// <summary>Type name of the last failure; never its message.</summary>
    public string? LastFailure { get; set; }
}

/// <summary>When one worker of one process last went round.</summary>
internal sealed class WorkerBeatRow
{
    /// <summary>The machine's name and the process's number.</summary>
    public required string Node { get; set; }
    /// <summary>Which worker of it, from 0.</summary>
    public required int Worker { get; set; }
    /// <summary>When it went round last.</summary>
    public required Instant At { get; set; }
}

/// <summary>The tables of jobs and of the workers that do them.</summary>
internal static class JobTable
{
    /// <summary>Lanes from here on hold what may hang on somebody else's server for long; they never take a worker from pages and reading.</summary>
    public const int SlowLane = 20;

    /// <summary>The last of the lanes by which somebody is paged, answered or read.</summary>
    public const int LastSafetyLane = 2;

    /// <summary>Reading of what patients wrote.</summary>
    public const int ReadLane = 1;

    /// <summary>Calls to staff, and questions to the carrier about what became of a page: beside each goes a text, which never waits behind them.</summary>
    public const int CallLane = 2;

    /// <summary>Aftercare: what goes to many patients on the same morning, and is done together where it can be.</summary>
    public const int EverydayLane = 9;

    /// <summary>Learning from all of a clinic's cases: it reads every one of them, so one worker of a process does it and the others go on with what is sooner.</summary>
    public const int LearningLane = 19;

    /// <summary>Every lane there is; a job cannot be stored in another, for no worker would look there.</summary>
    public static readonly int[] Lanes = [0, ReadLane, CallLane, 5, EverydayLane, LearningLane, SlowLane];

    extension(PortalDb db)
    {
        public DbSet<JobRow> Jobs => db.Set<JobRow>();
        public DbSet<WorkerBeatRow> WorkerBeats => db.Set<WorkerBeatRow>();

        /// <summary>Adds a job to the current unit of work; it exists once that is saved.</summary>
        public void Enqueue(string kind, string subject, Instant dueAt, int lane = 5) =>
            db.Add(new JobRow { ClinicId = db.ClinicId, Kind = kind, Subject = subject, DueAt = dueAt, Lane = lane });
    }

    /// <summary>How they are stored: a job in no lane of <see cref="Lanes"/> is refused by the database.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<JobRow>, IEntityTypeConfiguration<WorkerBeatRow>
    {
        public void Configure(EntityTypeBuilder<WorkerBeatRow> beat)
        {
            beat.ToTable("WorkerBeats");
            beat.HasKey(b => new { b.Node, b.Worker });
            beat.Property(b => b.Node).HasMaxLength(200);
        }

        public void Configure(EntityTypeBuilder<JobRow> job)
        {
            job.ToTable("Jobs", t => t.HasCheckConstraint("CK_Jobs_Lane", $"\"Lane\" IN ({string.Join(", ", Lanes)})"));
            job.Property(j => j.Kind).HasMaxLength(60);
            job.Property(j => j.Subject).HasMaxLength(80);
            job.Property(j => j.LastFailure).HasMaxLength(200);
            job.Property(j => j.Attempts).IsConcurrencyToken();
            job.HasIndex(j => new { j.Lane, j.DueAt, j.Id }).HasFilter("\"DoneAt\" IS NULL AND \"ParkedAt\" IS NULL");
            job.HasIndex(j => new { j.Lane, j.ParkedAt }).HasFilter("\"DoneAt\" IS NULL AND \"ParkedAt\" IS NOT NULL");
            job.HasIndex(j => j.DoneAt).HasFilter("\"DoneAt\" IS NOT NULL");
        }
    }
}
