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
    public required string Words { get; set; }
    public required string AskedBy { get; set; }
    public required Instant AskedAt { get; set; }
    /// <summary>As the person wrote it; null until then.</summary>
    public string? Answer { get; set; }
    public Instant? AnsweredAt { get; set; }
    /// <summary>Whether the answer holds words that should not wait.</summary>
    public bool SoundsUrgent { get; set; }
    /// <summary>Who read the answer first; null: it waits in the queue.</summary>
    public string? ReadBy { get; set; }
    public Instant? ReadAt { get; set; }
}

internal static class QuestionTable
{
    extension(PortalDb db)
    {
        public DbSet<QuestionRow> Questions => db.Set<QuestionRow>();
    }

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
