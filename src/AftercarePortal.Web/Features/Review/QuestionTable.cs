using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Intake;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>One question the clinic asked back about an intake. The question is never changed; its answer is written once. What is written to it later is kept as a row of its own.</summary>
internal sealed class QuestionRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>From 1 for each intake; unique.</summary>
    public required int Number { get; set; }
    /// <summary>Number of the question whose words stand here once more, because something else was written to it after its answer; null: it was asked.</summary>
    public int? Further { get; init; }
    /// <summary>As the person reads it, up to <see cref="AskBack.Longest"/> characters.</summary>
    public required string Words { get; set; }
    /// <summary>Full name of who asked.</summary>
    public required string AskedBy { get; set; }
    public required Instant AskedAt { get; set; }
    /// <summary>As the person wrote it; null until then.</summary>
    public string? Answer { get; set; }
    /// <summary>Null: not answered yet.</summary>
    public Instant? AnsweredAt { get; set; }
    /// <summary>Whether the answer holds words that should not wait.</summary>
    public bool SoundsUrgent { get; set; }
    /// <summary>Who read the answer first; null: it waits in the queue.</summary>
    public string? ReadBy { get; set; }
    /// <summary>When they read it; null: nobody has.</summary>
    public Instant? ReadAt { get; set; }
    /// <summary>Who closed it without an answer here; null: it waits for one, or has one.</summary>
    public string? ClosedBy { get; set; }
    /// <summary>When it was closed; null: it was not.</summary>
    public Instant? ClosedAt { get; set; }
    /// <summary>Why, in their words, for example <c>answered by telephone</c>; up to <see cref="CloseQuestion.Longest"/> characters.</summary>
    public string? ClosedWith { get; set; }

    /// <summary>The person is still asked for an answer.</summary>
    public bool IsOpen => Answer is null && ClosedAt is null;
}

/// <summary>The table of questions asked back.</summary>
internal static class QuestionTable
{
    extension(PortalDb db)
    {
        public DbSet<QuestionRow> Questions => db.Set<QuestionRow>();
    }

    /// <summary>How they are stored: a number once for each intake, which then cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<QuestionRow>
    {
        public void Configure(EntityTypeBuilder<QuestionRow> question)
        {
            question.ToTable("IntakeQuestions");
            question.Property(q => q.AskedBy).HasMaxLength(200);
            question.Property(q => q.ReadBy).HasMaxLength(200);
            question.Property(q => q.ClosedBy).HasMaxLength(200);
            question.Property(q => q.ClosedWith).HasMaxLength(CloseQuestion.Longest);
            question.Ignore(q => q.IsOpen);
            question.HasIndex(q => new { q.IntakeId, q.Number }).IsUnique();
            question.HasIndex(q => new { q.ClinicId, q.ReadAt });
            question.HasOne<IntakeRow>().WithMany().HasForeignKey(q => q.IntakeId).OnDelete(DeleteBehavior.Restrict);
        }
    }
}
