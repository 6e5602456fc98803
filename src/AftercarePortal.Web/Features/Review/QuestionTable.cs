using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Intake;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Review;

/// <summary>One question the clinic asked back about an intake. The question is never changed; its answer is written once.</summary>
internal sealed class QuestionRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public Guid ClinicId { get; set; }
    public required Guid IntakeId { get; set; }
    /// <summary>From 1 for each intake; unique.</summary>
    public required int Number { get; set; }
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
            question.HasIndex(q => new { q.IntakeId, q.Number }).IsUnique();
            question.HasIndex(q => new { q.ClinicId, q.ReadAt });
            question.HasOne<IntakeRow>().WithMany().HasForeignKey(q => q.IntakeId).OnDelete(DeleteBehavior.Restrict);
        }
    }
}
