using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>One dated step of a patient's aftercare plan, and what became of it. Never deleted.</summary>
internal sealed class StepRow : IClinicRow, IOneOfMany
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public required Guid ClinicId { get; set; }
    public required Guid TreatmentId { get; set; }
    public required Guid PatientId { get; set; }
    /// <summary>What made the plan it is a step of: the record's id at signing, or that of the addendum after which it was planned anew.</summary>
    public Guid Cause { get; set; }
    /// <summary>The step's id in its sequence.</summary>
    public required string StepId { get; set; }
    /// <summary>The sequence that asked for it, for example <c>caha-filler.v1</c>.</summary>
    public required string From { get; set; }
    /// <summary>What it is for; says which open reports hold it.</summary>
    public required StepKind Kind { get; set; }
    /// <summary>Id in content of the text that goes out; where products are merged it may be another than the sequence's.</summary>
    public required string TextId { get; set; }
    /// <summary>When it is to go out, after quiet hours and merging.</summary>
    public required Instant DueAt { get; set; }
    /// <summary>Days after its treatment that it is due, 0 or more.</summary>
    public int Day { get; set; }
    /// <summary>How many hours late it may still go out.</summary>
    public required int MissedWithinHours { get; set; }
    /// <summary>What becomes of it when it is later than that.</summary>
    public required MissedAction MissedThen { get; set; }
    public required StepState State { get; set; }
    /// <summary>Why the plan left it out, or which rule gave its text; null: neither.</summary>
    public string? Reason { get; set; }
    /// <summary>When the state was reached.</summary>
    public required Instant StateAt { get; set; }

    /// <summary>Which day after the treatment it is at <paramref name="now"/>, for a step that goes out late.</summary>
    public int DayAt(Instant now, DateTimeZone zone) => Day + Math.Max(0, Period.DaysBetween(DueAt.InZone(zone).Date, now.InZone(zone).Date));
}

/// <summary>Where a step stands.</summary>
internal enum StepState
{
    Planned,
    /// <summary>Handed on to be sent; looked at once more right before it goes.</summary>
    Sent,
    /// <summary>The plan left it out: a safer step that day, too close, or due before signing.</summary>
    LeftOut,
    /// <summary>Too late; a newer step of this patient speaks instead.</summary>
    Merged,
    /// <summary>Too late to be of use.</summary>
    TooLate,
    /// <summary>The patient asked for no texts.</summary>
    Stopped,
    /// <summary>The patient never agreed to texts.</summary>
    NotAgreed,
    /// <summary>A later treatment's plan took over.</summary>
    TakenOver,
    /// <summary>A record was put right, or does not hold: the plan was made anew without it.</summary>
    Withdrawn,
}

/// <summary>The table of aftercare steps.</summary>
internal static class StepTable
{
    extension(PortalDb db)
    {
        public DbSet<StepRow> Steps => db.Set<StepRow>();
    }

    /// <summary>How they are stored: a step of a sequence is planned once for each treatment, and once more for each addendum after which that was planned anew.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<StepRow>
    {
        public void Configure(EntityTypeBuilder<StepRow> step)
        {
            step.ToTable("Steps");
            step.Property(s => s.StepId).HasMaxLength(60);
            step.Property(s => s.From).HasMaxLength(80);
            step.Property(s => s.Kind).HasMaxLength(20);
            step.Property(s => s.TextId).HasMaxLength(80);
            step.Property(s => s.Reason).HasMaxLength(200);
            step.Property(s => s.State).IsConcurrencyToken();            // sent and taken over at once: the second tries again
            step.HasIndex(s => new { s.TreatmentId, s.From, s.StepId, s.Cause }).IsUnique();
            step.HasIndex(s => new { s.PatientId, s.State, s.DueAt });
        }
    }
}
