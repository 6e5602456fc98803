using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>What a patient answered about the result at one review, on the clinic's screen. Only added.</summary>
internal sealed class ReviewAnswerRow : IClinicRow
{
    /// <summary>Id the form was given when it was opened: sent twice, it is kept once. Other answers sent from the same form have one that follows from it and them.</summary>
    public required Guid Id { get; init; }
    public Guid ClinicId { get; init; }
    public required Guid TreatmentId { get; init; }
    /// <summary>Days since the treatment, 0 or more, on the clinic's calendar.</summary>
    public required int Day { get; init; }
    /// <summary>Version of the questions.</summary>
    public required string Questions { get; init; }
    /// <summary>Language the questions stood in on the screen.</summary>
    public required string Language { get; init; }
    /// <summary>Question id → option id as JSON; what was left out is not there.</summary>
    public required string Chosen { get; init; }
    /// <summary>In the patient's words; empty: none. They are read like a text, too.</summary>
    public required string Words { get; init; }
    /// <summary>Full name of whoever handed over the screen.</summary>
    public required string AskedBy { get; init; }
    public required Instant AnsweredAt { get; init; }
}

/// <summary>The table of answers at reviews.</summary>
internal static class ReviewAnswerTable
{
    extension(PortalDb db)
    {
        public DbSet<ReviewAnswerRow> ReviewAnswers => db.Set<ReviewAnswerRow>();
    }

    /// <summary>How they are stored: a treatment with answers cannot be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<ReviewAnswerRow>
    {
        public void Configure(EntityTypeBuilder<ReviewAnswerRow> answer)
        {
            answer.ToTable("ReviewAnswers");
            answer.Property(a => a.Id).ValueGeneratedNever();
            answer.Property(a => a.Questions).HasMaxLength(80);
            answer.Property(a => a.Language).HasMaxLength(8);
            answer.Property(a => a.Chosen).HasMaxLength(2000);
            answer.Property(a => a.Words).HasMaxLength(KeepReviewAnswers.MostLetters);
            answer.Property(a => a.AskedBy).HasMaxLength(200);
            answer.HasOne<TreatmentRow>().WithMany().HasForeignKey(a => a.TreatmentId).OnDelete(DeleteBehavior.Restrict);
            answer.HasIndex(a => new { a.TreatmentId, a.AnsweredAt });
        }
    }
}
