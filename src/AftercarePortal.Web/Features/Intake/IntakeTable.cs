using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>One intake of one person. Open until it is sent to the clinic; afterwards it is never changed.</summary>
internal sealed class IntakeRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public required Guid ClinicId { get; set; }
    /// <summary>Hash of the private link; the link itself is kept by the person alone.</summary>
    public required string LinkHash { get; set; }
    /// <summary>Questionnaire version, for example <c>lower-face.v1</c>.</summary>
    public required string Questionnaire { get; set; }
    public required Instant StartedAt { get; set; }
    /// <summary>Language of the pages, BCP 47: <c>en</c> or <c>es</c>.</summary>
    public string Language { get; set; } = "en";
    /// <summary>Raised by every answer kept and every change of the language, in the save that keeps it: what was worked out from other answers is told apart, also within one millisecond.</summary>
    public int AnswersVersion { get; set; }
    /// <summary>Until when the private link opens it; an intake not sent by then is deleted.</summary>
    public required Instant EndsAt { get; set; }
    /// <summary>When it was sent to the clinic, with the latest result of that moment.</summary>
    public Instant? SubmittedAt { get; set; }
    /// <summary>As typed when it was sent.</summary>
    public string? Name { get; set; }
    /// <summary>E.164.</summary>
    public string? Number { get; set; }
    /// <summary>Whether the clinic may text this number.</summary>
    public bool MayText { get; set; }
    /// <summary>The clinic's latest answer, in the words the person reads; null until a clinician has decided.</summary>
    public string? Answer { get; set; }
    /// <summary>A question of the clinic that waits for an answer; null when none does.</summary>
    public string? Question { get; set; }
    /// <summary>The latest word about a consultation visit, as the person reads it; null when there never was one.</summary>
    public string? Visit { get; set; }
    /// <summary>The range after an examination, shown beside the first one; null until somebody examined is invited.</summary>
    public Guid? NarrowerQuote { get; set; }
}

/// <summary>What a person did with one question of an open intake.</summary>
internal sealed class IntakeAnswerRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public required Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>The question.</summary>
    public required string LinkId { get; set; }
    /// <summary>Everything that was typed or ticked (<see cref="Typed"/>) as JSON, usable or not.</summary>
    public required string Typed { get; set; }
    public required AnswerState State { get; set; }
    /// <summary>When it was kept last.</summary>
    public required Instant AnsweredAt { get; set; }
}

/// <summary>What an intake came to at one moment. Only added: what a person once saw can be shown again.</summary>
internal sealed class IntakeResultRow : IClinicRow
{
    public Guid Id { get; set; } = Guid.CreateVersion7();
    public required Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>When it was worked out.</summary>
    public required Instant MadeAt { get; set; }
    /// <summary><see cref="IntakeRow.AnswersVersion"/> of the answers it was worked out from.</summary>
    public required int AnswersVersion { get; set; }
    /// <summary>An <see cref="IntakeResult"/> as JSON, with every version used.</summary>
    public required string Json { get; set; }
}

/// <summary>Answered, skipped and not sure are three different things; so is what cannot be used yet.</summary>
internal enum AnswerState { Answered, Skipped, NotSure, NotUsable }

/// <summary>The tables of intakes, of their answers and of what they came to.</summary>
internal static class IntakeTable
{
    extension(PortalDb db)
    {
        public DbSet<IntakeRow> Intakes => db.Set<IntakeRow>();
        public DbSet<IntakeAnswerRow> IntakeAnswers => db.Set<IntakeAnswerRow>();
        public DbSet<IntakeResultRow> IntakeResults => db.Set<IntakeResultRow>();

        /// <summary>The latest result of an intake, or null.</summary>
        public Task<IntakeResultRow?> LatestResultOf(Guid intakeId, CancellationToken stop) =>
            db.IntakeResults.AsNoTracking().Where(r => r.IntakeId == intakeId).OrderByDescending(r => r.AnswersVersion).ThenByDescending(r => r.MadeAt).ThenByDescending(r => r.Id).FirstOrDefaultAsync(stop);
    }

    /// <summary>How they are stored: one intake for each link, one answer for each question; answers and results go with their intake.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<IntakeRow>, IEntityTypeConfiguration<IntakeAnswerRow>, IEntityTypeConfiguration<IntakeResultRow>
    {
        public void Configure(EntityTypeBuilder<IntakeRow> intake)
        {
            intake.ToTable("Intakes");
            intake.Property(i => i.LinkHash).HasMaxLength(64);
            intake.Property(i => i.Questionnaire).HasMaxLength(80);
            intake.Property(i => i.Number).HasMaxLength(20);
            intake.Property(i => i.Language).HasMaxLength(10);
            intake.HasIndex(i => i.LinkHash).IsUnique();
            intake.HasIndex(i => new { i.ClinicId, i.SubmittedAt });
        }

        public void Configure(EntityTypeBuilder<IntakeAnswerRow> answer)
        {
            answer.ToTable("IntakeAnswers");
            answer.Property(a => a.LinkId).HasMaxLength(64);
            answer.HasIndex(a => new { a.IntakeId, a.LinkId }).IsUnique();
            answer.HasOne<IntakeRow>().WithMany().HasForeignKey(a => a.IntakeId).OnDelete(DeleteBehavior.Cascade);
        }

        public void Configure(EntityTypeBuilder<IntakeResultRow> result)
        {
            result.ToTable("IntakeResults");
            result.HasOne<IntakeRow>().WithMany().HasForeignKey(r => r.IntakeId).OnDelete(DeleteBehavior.Cascade);
            result.HasIndex(r => new { r.IntakeId, r.MadeAt });
        }
    }
}
