using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Intake;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>What a clinician decided about one intake. Only added: the latest counts, earlier ones stay.</summary>
internal sealed class DecisionRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>From 1; unique with the intake, so of two clinicians who decide at once one is told.</summary>
    public required int Number { get; set; }
    /// <summary>Where <see cref="CorrectsSender"/> is true, the one before, repeated.</summary>
    public required Decision Decision { get; set; }
    /// <summary>Deferred until this day of the clinic; otherwise null.</summary>
    public LocalDate? Until { get; set; }
    /// <summary>For the clinic's own record; never shown to the person.</summary>
    public required string Reason { get; set; }
    /// <summary>Shown to the person on their private page.</summary>
    public required string WordsToPatient { get; set; }
    /// <summary>Full name of who decided, or said who sent it.</summary>
    public required string DecidedBy { get; set; }
    public required Instant DecidedAt { get; set; }
    /// <summary>The patient who sent it; null: not said with this decision.</summary>
    public Guid? PatientId { get; set; }
    /// <summary>Says only who sent it: what was decided before, and by whom, stands on.</summary>
    public bool CorrectsSender { get; set; }
}

/// <summary>What can be decided about an intake. None of them clears anybody for treatment.</summary>
internal enum Decision
{
    /// <summary>Invited to a consultation in person, where everything else is decided.</summary>
    Accepted,
    /// <summary>Not before a day.</summary>
    Deferred,
    /// <summary>No consultation about this.</summary>
    Declined,
}

/// <summary>The table of decisions about intakes.</summary>
internal static class DecisionTable
{
    extension(PortalDb db)
    {
        public DbSet<DecisionRow> Decisions => db.Set<DecisionRow>();

        /// <summary>The decision that counts, or null.</summary>
        public Task<DecisionRow?> LatestDecisionOf(Guid intakeId, CancellationToken stop) =>
            db.Decisions.AsNoTracking().Where(d => d.IntakeId == intakeId).OrderByDescending(d => d.Number).FirstOrDefaultAsync(stop);
    }

    /// <summary>How they are stored: a number once for each intake, which then cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<DecisionRow>
    {
        public void Configure(EntityTypeBuilder<DecisionRow> decision)
        {
            decision.ToTable("Decisions");
            decision.Property(d => d.DecidedBy).HasMaxLength(200);
            decision.HasIndex(d => new { d.IntakeId, d.Number }).IsUnique();
            decision.HasOne<IntakeRow>().WithMany().HasForeignKey(d => d.IntakeId).OnDelete(DeleteBehavior.Restrict);
        }
    }
}
