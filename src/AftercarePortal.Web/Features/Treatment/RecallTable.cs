using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>One approved word to all patients of one lot. Only added.</summary>
internal sealed class RecallRow : IClinicRow
{
    /// <summary>Id the form was given when it was opened: sent twice, it is approved once.</summary>
    public required Guid Id { get; init; }
    public Guid ClinicId { get; init; }
    /// <summary>The lot as asked for.</summary>
    public required string Lot { get; init; }
    /// <summary>The text as it was approved, word for word.</summary>
    public required string Text { get; init; }
    /// <summary>Full name of who approved it.</summary>
    public required string ApprovedBy { get; init; }
    public required Instant ApprovedAt { get; init; }
    /// <summary>One for each patient who got the lot.</summary>
    public List<RecallNoticeRow> Notices { get; init; } = [];
}

/// <summary>One patient of a recall: texted, or why not.</summary>
internal sealed class RecallNoticeRow : IClinicRow
{
    public Guid Id { get; init; } = Guid.CreateVersion7();
    public Guid ClinicId { get; init; }
    public Guid RecallId { get; init; }
    /// <summary>Unique with the recall.</summary>
    public required Guid PatientId { get; init; }
    public required RecallStanding Standing { get; set; }
}

/// <summary>What was done about one patient of a recall.</summary>
internal enum RecallStanding
{
    /// <summary>A job will text.</summary>
    ToBeTexted,
    /// <summary>The text was handed on; the carrier's word stands with it.</summary>
    Texted,
    /// <summary>The patient never agreed to texts.</summary>
    NotAgreed,
    /// <summary>The number's last word was STOP.</summary>
    Stopped,
    /// <summary>No number a text can reach.</summary>
    NoMobile,
    /// <summary>An earlier recall of the same lot reached this patient, or its text is under way.</summary>
    Before,
}

/// <summary>The tables of recalls and of the patients each is about.</summary>
internal static class RecallTable
{
    extension(PortalDb db)
    {
        public DbSet<RecallRow> Recalls => db.Set<RecallRow>();
        public DbSet<RecallNoticeRow> RecallNotices => db.Set<RecallNoticeRow>();
    }

    /// <summary>How they are stored: one notice for each patient of a recall, neither of which can then be deleted.</summary>
    internal sealed class Mapping : IEntityTypeConfiguration<RecallRow>, IEntityTypeConfiguration<RecallNoticeRow>
    {
        public void Configure(EntityTypeBuilder<RecallRow> recall)
        {
            recall.ToTable("Recalls");
            recall.Property(r => r.Id).ValueGeneratedNever();
            recall.Property(r => r.Lot).HasMaxLength(60);
            recall.Property(r => r.ApprovedBy).HasMaxLength(200);
            recall.HasMany(r => r.Notices).WithOne().HasForeignKey(n => n.RecallId).OnDelete(DeleteBehavior.Restrict);
            recall.HasIndex(r => new { r.ClinicId, r.ApprovedAt });
        }

        public void Configure(EntityTypeBuilder<RecallNoticeRow> notice)
        {
            notice.ToTable("RecallNotices");
            notice.Property(n => n.Id).ValueGeneratedNever();
            notice.Property(n => n.Standing).HasMaxLength(20);
            notice.HasOne<PatientRow>().WithMany().HasForeignKey(n => n.PatientId).OnDelete(DeleteBehavior.Restrict);
            notice.HasIndex(n => new { n.RecallId, n.PatientId }).IsUnique();
        }
    }
}
